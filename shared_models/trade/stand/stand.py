"""How full is the stand, by the misses logged at planting and by a later stand count?"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shared_models.errors import BadQuantity
from shared_models.trade.stats.student_t import t_two_sided, z_two_sided
from shared_models.trade.validation import inside, not_negative, positive, within

#: Spare plants to carry beyond the misses, as a share of them. Common practice, no source; a farm's setting.
SPARE_FRACTION = 0.1
#: What a few gaps cannot tell of how gaps cluster is taken from here: this correlation between neighbours, weighed like
#: 0.7 gaps. Our own figures, chosen so that the interval keeps its promise (see `counted_stand`).
USUAL_RHO = 0.1
USUAL_WEIGHT = 0.7
#: A length in whole millimeters is rarely a whole number of cells; this much is arithmetic, not part of a cell.
HAIR = 1e-9


@dataclass(frozen=True, slots=True)
class Interval:
    """A range that holds the true figure with the confidence asked for."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Stand:
    """What a stand count says: plants found at so many positions, the share, and how sure it is.

    `design_effect` is how many times more the share scatters than single positions would; 1.0 for one sample.
    """

    plants: float
    positions: float
    proportion: float
    interval: Interval
    design_effect: float
    samples: int


@dataclass(frozen=True, slots=True)
class FillLine:
    """One row of the fill list: its misses, and how many of them still wait for a plant."""

    row: int
    misses: int
    filled: int

    @property
    def to_fill(self) -> int:
        """Misses not yet filled."""
        return self.misses - self.filled


@dataclass(frozen=True, slots=True)
class FillList:
    """Where to fill, in the order of the walk, and how many spare plants to carry."""

    lines: tuple[FillLine, ...]
    to_fill: int
    spares: int


def positions(length_mm: float, spacing_mm: float) -> float:
    """Count the places for a plant along a row.

    The row is full to the margin: 264 cells at 2 in make 44 ft, with as many gaps as plants. (Between fence posts it
    would be one gap less.) A length that is not a whole number of cells keeps its part of a cell.

    Formula: positions = length / in-row spacing
    Units: millimeters; positions.
    Source: "Full to the margin": Bailey, Farm and Garden Rule-Book (1911), as quoted in a full transcription.
    Raises: BadQuantity: when the length is negative or the spacing is not above 0.
    """
    not_negative("length_mm", length_mm)
    positive("spacing_mm", spacing_mm)
    return length_mm / spacing_mm


def planted_stand(positions: float, misses: int, filled: int = 0) -> float:
    """Compute the share of positions planted as a row left the transplanter, after filling.

    Doubles do not make up for misses and are never added.

    Formula: planted stand = (positions - misses + filled) / positions
    Units: positions and plants; a proportion from 0 to 1.
    Source: Common practice, no source.
    Raises: BadQuantity: when positions is not above 0, there are more misses than positions, or more fills than misses.
    """
    positive("positions", positions)
    within("misses", misses, 0, _cells(positions))
    within("filled", filled, 0, misses)
    return max(0.0, positions - misses + filled) / positions


def wilson(successes: float, trials: float, confidence: float = 0.95, *, continuity: bool = False) -> Interval:
    """Compute the confidence interval of a proportion; good for small counts and nearly full stands.

    Formula: centre = (p + z^2/2n) / (1 + z^2/n); half width = z sqrt(p(1-p)/n + z^2/4n^2) / (1 + z^2/n); with
        continuity correction Newcombe's method 4, limits (2np + z^2 -+ (1 + z sqrt(z^2 -+ 2 - 1/n + 4p(n(1-p) +- 1))))
        / 2(n + z^2). One limit alone at confidence c is the limit of the two-sided interval at 2c - 1.
    Units: counts; proportions from 0 to 1.
    Source: Wilson (1927), Journal of the American Statistical Association 22:209-212; Newcombe (1998), Statistics in
        Medicine 17:857-872, methods 3 and 4; NIST/SEMATECH e-Handbook 7.2.4.1.
    Raises: BadQuantity: when trials is not above 0, successes is outside 0 to trials, or the confidence outside 0 to 1.
    """
    positive("trials", trials)
    within("successes", successes, 0, trials)
    z = z_two_sided(confidence)
    return _corrected(successes, trials, z) if continuity else _score_interval(successes / trials, trials, z)


def counted_stand(samples: Sequence[tuple[float, float]], confidence: float = 0.95) -> Stand:
    """Put stand counts from one or several stretches of row together, and say how sure the stand is.

    Each sample is (plants, positions). Gaps come in runs, so several stretches scatter more than their positions taken
    one by one; the interval widens by as much as they do, and never below what single positions would give. Few gaps
    tell little of how they cluster: the fewer they are, the more the interval goes by how gaps usually do. A stretch
    that is not a whole number of cells may hold one plant more than its positions; it then counts as full.

    Formula: stand p = sum of plants / sum of positions N; variance by linearised ratio over k samples, v = k / (k - 1)
        x sum (plants - p positions)^2 / N^2; design effect = v / (p (1 - p) / N), at least 1. For the interval it is
        steadied: d = (w design effect + 0.7 (1 + (N / k - 1) 0.1)) / (w + 0.7), at least 1, with w = N p (1 - p) and
        the design effect before its floor. Wilson's interval with d p (1 - p) / N for its variance and N / sqrt(d)
        elsewhere; where the samples scatter more than single positions, Student's t in place of z, for
        (k - 1) sqrt(d / e) degrees of freedom, with e = w (design effect - 1) / (w + 0.7) the part of d that was seen
    Units: counts; proportions from 0 to 1.
    Source: Wilson (1927); design effect: Kish (1965), Survey Sampling; linearised ratio: Cochran (1977), Sampling
        Techniques, ch. 6; Wilson on effective numbers with t: after Korn & Graubard (1998), Survey Methodology
        24:193-201 (all from memory). Steadying a scatter towards the usual is common practice; its figures here are
        our own. Simulated: 8 to 20 stretches of 30 to 60 positions, stands of 80 to 98 % with a dozen gaps or more to
        expect, correlation 0 to 0.05: 95 % intervals hold the truth 93 to 97 times in 100 (up to 97.8 where gaps are
        few and do not cluster).
    Raises: BadQuantity: when there is no sample, positions is not above 0, a sample has more plants than positions
        (doubles counted, or a miscount), or the confidence is outside 0 to 1.
    """
    if not samples:
        raise BadQuantity("samples", 0, "at least 1")
    counts = [_checked_sample(plants, places) for plants, places in samples]
    plants, places = (math.fsum(column) for column in zip(*counts, strict=True))
    proportion = plants / places
    scatter = _scatter(counts, proportion, places)
    interval = _clustered_interval(proportion, places, len(counts), scatter, confidence)
    return Stand(plants, places, proportion, interval, max(1.0, scatter), len(counts))


def kish_design_effect(positions_per_sample: float, rho: float) -> float:
    """Compute the design effect: how many times more positions are needed because neighbors in a row are alike.

    Formula: design effect = 1 + (positions per sample - 1) x rho
    Units: positions; rho is the correlation inside a sample, 0 (none) to 1 (all alike).
    Source: Kish (1965), Survey Sampling (definition as quoted in the documentation of several statistics packages).
    Raises: BadQuantity: when there is less than one position per sample or rho is outside 0 to 1.
    """
    _one_or_more("positions_per_sample", positions_per_sample)
    within("rho", rho, 0, 1)
    return 1.0 + (positions_per_sample - 1.0) * rho


def samples_needed(
    margin: float,
    proportion: float,
    positions_per_sample: float,
    design_effect: float = 1.0,
    confidence: float = 0.95,
) -> int:
    """Compute how many stretches of row to count to know the stand to plus or minus the margin.

    Expect the worst stand that could be true: the nearer to one half, the more counting. With few samples the counted
    interval comes out somewhat wider than this plan, because the scatter itself must then be estimated.

    Formula: positions = z^2 p (1 - p) / margin^2 x design effect; samples = positions / positions per sample, rounded
        up
    Units: margin and proportion 0 to 1; whole samples. For a correlation rho take kish_design_effect.
    Source: Cochran (1977), Sampling Techniques, ch. 4; Kish (1965), Survey Sampling (from memory).
    Raises: BadQuantity: when margin, proportion or confidence is not between 0 and 1, positions per sample is not above
        0, or the design effect is below 1.
    """
    for field, value in (("margin", margin), ("proportion", proportion)):
        inside(field, value)
    positive("positions_per_sample", positions_per_sample)
    _one_or_more("design_effect", design_effect)
    single_positions = z_two_sided(confidence) ** 2 * proportion * (1.0 - proportion) / margin**2
    return max(1, math.ceil(single_positions * design_effect / positions_per_sample - HAIR))


def fill_list(rows: Sequence[tuple[int, int, int]], spare_fraction: float = SPARE_FRACTION) -> FillList:
    """List the rows that still have misses, in the order given, and the spare plants to carry.

    Each row is (number, misses, filled so far).

    Formula: to fill = misses - filled; spares = sum of to fill x (1 + spare fraction), rounded up
    Units: plants.
    Source: Common practice, no source: misses are filled from spare plants, some of which break.
    Raises: BadQuantity: when misses or the spare fraction is negative or there are more fills than misses.
    """
    not_negative("spare_fraction", spare_fraction)
    for _row, misses, filled in rows:
        not_negative("misses", misses)
        within("filled", filled, 0, misses)
    lines = tuple(FillLine(*each) for each in rows if each[1] > each[2])
    to_fill = sum(line.to_fill for line in lines)
    return FillList(lines, to_fill, to_fill + math.ceil(to_fill * spare_fraction - HAIR))


def _score_interval(p: float, n: float, z: float, effect: float = 1.0) -> Interval:
    """Wilson's interval around p for n trials that scatter more by `effect`, z standard errors each way."""
    share = z * z * math.sqrt(effect) / n
    centre = (p + share / 2.0) / (1.0 + share)
    half = math.sqrt(z * z * effect * p * (1.0 - p) / n + share * share / 4.0) / (1.0 + share)
    return Interval(0.0 if p <= 0.0 else max(0.0, centre - half), 1.0 if p >= 1.0 else min(1.0, centre + half))


def _clustered_interval(p: float, places: float, samples: int, scatter: float, confidence: float) -> Interval:
    """Wilson's interval, as much wider as several samples scatter more than single positions would."""
    weight = places * p * (1.0 - p)
    effect = _steadied(scatter, weight, places / samples) if samples > 1 else 1.0
    seen = weight * (scatter - 1.0) / (weight + USUAL_WEIGHT)
    if seen <= 0.0:
        return _score_interval(p, places, z_two_sided(confidence), effect)
    df = (samples - 1) * math.sqrt(effect / seen)
    return _score_interval(p, places, t_two_sided(confidence, df), effect)


def _corrected(successes: float, trials: float, z: float) -> Interval:
    """Wilson's interval with continuity correction (Newcombe's method 4)."""
    p, q = successes / trials, 1.0 - successes / trials
    below = 1.0 + z * math.sqrt(max(0.0, z * z - 2.0 - 1.0 / trials + 4.0 * p * (trials * q + 1.0)))
    above = 1.0 + z * math.sqrt(max(0.0, z * z + 2.0 - 1.0 / trials + 4.0 * p * (trials * q - 1.0)))
    middle, width = 2.0 * successes + z * z, 2.0 * (trials + z * z)
    return Interval(
        0.0 if p <= 0.0 else max(0.0, (middle - below) / width),
        1.0 if p >= 1.0 else min(1.0, (middle + above) / width),
    )


def _scatter(counts: Sequence[tuple[float, float]], proportion: float, places: float) -> float:
    """Variance of the stand between samples over the variance of single positions; 1 where there is nothing to see."""
    k, single = len(counts), proportion * (1.0 - proportion) / places
    if k == 1 or single == 0.0:
        return 1.0
    squares = math.fsum((plants - proportion * of) ** 2 for plants, of in counts)
    return k / (k - 1) * squares / places**2 / single


def _steadied(scatter: float, weight: float, positions_per_sample: float) -> float:
    """The design effect to use: as seen, the more so the more gaps there are; else as is usual."""
    usual = 1.0 + max(0.0, positions_per_sample - 1.0) * USUAL_RHO
    return max(1.0, (weight * scatter + USUAL_WEIGHT * usual) / (weight + USUAL_WEIGHT))


def _checked_sample(plants: float, places: float) -> tuple[float, float]:
    positive("positions", places)
    within("plants", plants, 0, _cells(places))
    return min(plants, places), places


def _cells(places: float) -> int:
    """Most plants that can stand in so many positions: a started cell may hold one."""
    return math.ceil(places - HAIR)


def _one_or_more(field: str, value: float) -> None:
    if not 1.0 <= value < math.inf:
        raise BadQuantity(field, value, "1 or more")
