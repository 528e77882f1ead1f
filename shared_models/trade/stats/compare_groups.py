"""Do some groups of rows have more misses than others when like is compared with like?

Two classic comparisons that need no model: one group against another within strata (the same bed, the same day), and a
trend across groups in order (shallow, middle, deep). Both count plants as if each were missed by itself; rows scatter
more than that, so both take the dispersion between rows and become as much less sure.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shared_models.errors import BadQuantity
from shared_models.trade.stats.logistic import odds
from shared_models.trade.stats.student_t import z_two_sided
from shared_models.trade.validation import not_negative, positive, within


@dataclass(frozen=True, slots=True)
class Group:
    """Misses out of positions of one group of rows."""

    misses: float
    positions: float

    def __post_init__(self) -> None:
        """Refuse more misses than positions."""
        not_negative("positions", self.positions)
        not_negative("misses", self.misses)
        within("misses", self.misses, 0, self.positions)


@dataclass(frozen=True, slots=True)
class Stratum:
    """The two groups to compare, under conditions that are otherwise alike."""

    tried: Group
    usual: Group


@dataclass(frozen=True, slots=True)
class Stratified:
    """Odds of a miss in the tried group against the usual one, all strata together, with its interval and test.

    None where the strata cannot tell: no stratum holds both groups, or one group has no misses at all.
    """

    odds_ratio: float | None
    low: float | None
    high: float | None
    chi_square: float | None
    p_value: float | None


def compare_within_strata(
    strata: Sequence[Stratum], dispersion: float = 1.0, confidence: float = 0.95, *, continuity: bool = False
) -> Stratified:
    """Compare two groups within each stratum and put the strata together, so that a bad bed blames no setting.

    Formula: with misses and plants a, b of the tried and c, d of the usual group and n = a + b + c + d in each stratum:
        odds ratio = sum(a d / n) / sum(b c / n) (Mantel & Haenszel). Chi square = (|sum(a - E)| - k)^2 / sum V with
        E = (a + b)(a + c) / n, V = (a + b)(c + d)(a + c)(b + d) / (n^2 (n - 1)), k = 1/2 with the continuity
        correction (never more than |sum(a - E)|), else 0. Interval: log odds ratio +/- z SE, SE by Robins, Breslow &
        Greenland. Chi square is divided, and SE squared multiplied, by the dispersion. Strata with one group only, or
        without any miss or any plant, say nothing and are passed over.
    Units: plants; odds ratio without unit; p from 0 to 1.
    Source: Mantel & Haenszel (1959), Journal of the National Cancer Institute 22:719-748; Robins, Breslow & Greenland
        (1986), Biometrics 42:311-323 (both from memory).
    Raises: BadQuantity: when the dispersion is below 1 or the confidence is not between 0 and 1.
    """
    _check_dispersion(dispersion)
    z = z_two_sided(confidence)
    tables = [table for table in map(_table, strata) if table]
    gaps = [a - (a + b) * (a + c) / n for a, b, c, d, n in tables]
    scatter = math.fsum((a + b) * (c + d) * (a + c) * (b + d) / (n * n * (n - 1)) for a, b, c, d, n in tables)
    if not scatter:
        return Stratified(None, None, None, None, None)
    gap = abs(math.fsum(gaps))
    chi_square = (gap - (min(0.5, gap) if continuity else 0.0)) ** 2 / scatter / dispersion
    p_value = _chi_square_1_tail(chi_square)
    for_it = [a * d / n for a, b, c, d, n in tables]
    against = [b * c / n for a, b, c, d, n in tables]
    if not (any(for_it) and any(against)):
        return Stratified(None, None, None, chi_square, p_value)
    odds_ratio = math.fsum(for_it) / math.fsum(against)
    middle, reach = math.log(odds_ratio), z * math.sqrt(_log_odds_variance(tables, for_it, against) * dispersion)
    return Stratified(odds_ratio, odds(middle - reach), odds(middle + reach), chi_square, p_value)


def _table(stratum: Stratum) -> tuple[float, float, float, float, float] | None:
    a, c = stratum.tried.misses, stratum.usual.misses
    b, d = stratum.tried.positions - a, stratum.usual.positions - c
    tells = min(a + b, c + d, a + c, b + d) > 0 and a + b + c + d > 1
    return (a, b, c, d, a + b + c + d) if tells else None


def _log_odds_variance(
    tables: list[tuple[float, float, float, float, float]], for_it: list[float], against: list[float]
) -> float:
    alike = [(a + d) / n for a, b, c, d, n in tables]
    crossed = [(b + c) / n for a, b, c, d, n in tables]
    r, s = math.fsum(for_it), math.fsum(against)
    mixed = math.fsum(p * si + q * ri for p, q, ri, si in zip(alike, crossed, for_it, against, strict=True))
    return (
        math.fsum(p * ri for p, ri in zip(alike, for_it, strict=True)) / (2 * r * r)
        + mixed / (2 * r * s)
        + math.fsum(q * si for q, si in zip(crossed, against, strict=True)) / (2 * s * s)
    )


def _chi_square_1_tail(chi_square: float) -> float:
    return math.erfc(math.sqrt(chi_square / 2))


def _check_dispersion(dispersion: float) -> None:
    positive("dispersion", dispersion)
    if dispersion < 1:
        raise BadQuantity("dispersion", dispersion, "1 or more")
