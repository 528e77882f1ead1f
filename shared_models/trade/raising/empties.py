"""How many cells of a tray will be empty, and how many extra trays make up for it?

Cells that fail independently of each other scatter as the binomial distribution says. Real trays scatter more: a dry
corner or a blocked row of the seeder empties many cells at once. Clustering (the likeness of two cells of one tray,
0 to 1) measures that from trays that were looked at, and the beta-binomial distribution carries it on.
"""

import math
from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import accumulate, islice

from shared_models.trade.chain import CELLS_PER_TRAY, trays_for
from shared_models.trade.validation import inside, whole, within

WORST_P_EMPTY = 0.99
"""Share of empty cells beyond which a seed lot is thrown out rather than sown thicker (common practice, no source)."""
NO_CHANCE = 1e-250
"""A chance below this is none: its products would underflow a double."""
MOST_CELLS = 300_000
"""More cells than this are no sowing but a slip of the pen, and would take seconds to use."""


@dataclass(frozen=True, slots=True)
class TrayCount:
    """One tray that was looked at: cells seen, and how many of them were empty."""

    cells_seen: int
    cells_empty: int

    def __post_init__(self) -> None:
        """Refuse a count that no tray can show."""
        whole("cells_seen", self.cells_seen, 1)
        whole("cells_empty", self.cells_empty)
        within("cells_empty", self.cells_empty, 0, self.cells_seen)


@dataclass(frozen=True, slots=True)
class EmptyRate:
    """What the trays looked at say; clustering is None when they cannot tell (fewer than two trays, or no scatter)."""

    trays: int
    cells: int
    p_empty: float
    clustering: float | None


@dataclass(frozen=True, slots=True)
class TraysToSow:
    """Trays to sow, how many of them are extra, and the chance that they hold the plants wanted."""

    trays: int
    extra: int
    chance: float


def empty_rate(counts: Iterable[TrayCount]) -> EmptyRate:
    """Share of empty cells in the trays looked at, and how much the trays differ beyond chance.

    Formula: p = empty cells / cells seen, all trays together. Clustering = (B - W) / (B + (n0 - 1) W), not below 0,
        with B and W the mean squares of empty cells between and within trays in a one-way analysis of variance and
        n0 = (N - sum n^2 / N) / (trays - 1).
    Units: cells; proportions, 0 to 1.
    Source: Donner & Koval (1980), The estimation of intraclass correlation, Biometrics 36:19-25; for proportions
        Ridout, Demetrio & Firth (1999), Biometrics 55:137-148 (both from memory).
    Raises: BadQuantity: when there is no tray.
    """
    trays = list(counts)
    whole("trays", len(trays), 1)
    cells = sum(tray.cells_seen for tray in trays)
    empty = sum(tray.cells_empty for tray in trays)
    return EmptyRate(len(trays), cells, empty / cells, _clustering(trays, cells, empty))


def expected_empties(cells: int, p_empty: float) -> float:
    """Empty cells to expect.

    Formula: cells x chance that a cell is empty
    Units: cells; proportion, 0 to 1.
    Source: Binomial distribution.
    Raises: BadQuantity: when there is less than one cell or the chance is not from 0 to 1.
    """
    _check(cells, p_empty)
    return cells * p_empty


def empties_not_exceeded(probability: float, cells: int, p_empty: float, clustering: float = 0.0) -> int:
    """Compute the number of empty cells that a tray stays at or below with a given probability (0.95: 19 of 20 trays).

    Formula: smallest k with P(0) + ... + P(k) >= probability
    Units: cells; proportions, 0 to 1.
    Source: Beta-binomial distribution, as `spread_of_empties`.
    Raises: BadQuantity: when the probability is not between 0 and 1, there is less than one cell, or the chance or
        clustering is not from 0 to 1.
    """
    inside("probability", probability)
    running = enumerate(accumulate(spread_of_empties(cells, p_empty, clustering)))
    return next((empty for empty, so_far in running if so_far >= probability), cells)


def clustering_over(trays: int, cells_per_tray: float, clustering: float) -> float:
    """Likeness of two cells of any of several trays, where only cells of one tray are alike.

    Formula: (cells per tray - 1) clustering / (trays x cells per tray - 1): the empty cells of all trays then scatter
        as much as the sum of independent trays.
    Units: trays, cells; proportions, 0 to 1.
    Source: Variance of a sum of independent beta-binomial counts, n p (1 - p) (1 + (n - 1) clustering)
        each.
    Raises: BadQuantity: when there is less than one tray or cell, or the clustering is not from 0 to 1.
    """
    whole("trays", trays, 1)
    within("cells_per_tray", cells_per_tray, 1, math.inf)
    within("clustering", clustering, 0, 1)
    cells = trays * cells_per_tray
    return 0.0 if cells == 1 else (cells_per_tray - 1) * clustering / (cells - 1)


def trays_to_sow(
    plants_wanted: int,
    p_empty: float,
    probability: float,
    clustering: float = 0.0,
    cells_per_tray: int = CELLS_PER_TRAY,
) -> TraysToSow:
    """Trays to sow so that, with the given probability, enough cells hold a plant: extra plants fill the misses.

    Formula: fewest trays T with P(empty cells of T trays <= T x cells - plants wanted) >= probability. Cells of
        different trays are taken as independent; the empty cells of all T trays are taken as one beta-binomial with
        the right mean and variance, whose clustering is `clustering_over` the trays. That is exact without clustering
        and for one tray.
    Units: plants, cells, trays; proportions, 0 to 1.
    Source: Beta-binomial distribution, as `spread_of_empties`; filling misses from spare plants is common
        practice, no source.
    Raises: BadQuantity: when less than one plant is wanted or more than 300,000 cells hold (nobody sows so many at
        once), more than 99% of the cells would be empty (no such lot is sown), the probability is not between 0 and 1,
        or the clustering is not from 0 to 1.
    """
    whole("plants_wanted", plants_wanted, 1)
    _check(cells_per_tray, p_empty, clustering)
    within("p_empty", p_empty, 0, WORST_P_EMPTY)
    within("plants_wanted", plants_wanted, 1, MOST_CELLS * (1 - p_empty))
    inside("probability", probability)

    @cache
    def chance(trays: int) -> float:
        cells = trays * cells_per_tray
        likeness = clustering_over(trays, cells_per_tray, clustering)
        spare = cells - plants_wanted
        if spare < plants_wanted:
            return min(1.0, math.fsum(islice(spread_of_empties(cells, p_empty, likeness), spare + 1)))
        return max(0.0, 1.0 - math.fsum(islice(spread_of_empties(cells, 1 - p_empty, likeness), plants_wanted)))

    least = trays_for(plants_wanted, cells_per_tray)
    few, step = least, 1
    many = max(least, math.ceil(plants_wanted / (1 - p_empty) / cells_per_tray))  # as many plants as wanted, on average
    while chance(many) < probability:
        few, many, step = many + 1, many + step, 2 * step
    trays = bisect_left(range(many), probability, lo=few, key=chance)
    return TraysToSow(trays, trays - least, chance(trays))


def spread_of_empties(cells: int, p_empty: float, clustering: float = 0.0) -> Iterator[float]:
    """Chances of exactly 0, 1, 2 ... all cells empty, each worked out when it is asked for.

    Formula: beta-binomial, with g = clustering / (1 - clustering) and q = 1 - p: P(0) = product of (q + j g) /
        (1 + j g) for j = 0 .. n - 1; P(k + 1) / P(k) = (n - k) (p + k g) / ((k + 1) (q + (n - k - 1) g)). Clustering 0
        gives the binomial distribution.
    Units: cells; proportions, 0 to 1.
    Source: Beta-binomial distribution; Skellam (1948), Journal of the Royal Statistical Society B 10:257-261 (from
        memory).
    Raises: BadQuantity: when there is less than one cell, or the chance or clustering is not from 0 to 1.
    """
    _check(cells, p_empty, clustering)
    if clustering == 1 or p_empty < NO_CHANCE or p_empty == 1:  # all cells of a tray alike
        return iter([1 - p_empty, *[0.0] * (cells - 1), float(p_empty)])
    p, q, g = p_empty, 1 - p_empty, clustering / (1 - clustering)
    log_none = math.fsum(math.log((q + j * g) / (1 + j * g)) for j in range(cells)) if g else cells * math.log1p(-p)
    log_steps = (math.log((cells - k) / (k + 1) * (p + k * g) / (q + (cells - k - 1) * g)) for k in range(cells))
    return map(math.exp, accumulate(log_steps, initial=log_none))


def _clustering(trays: list[TrayCount], cells: int, empty: int) -> float | None:
    if len(trays) < 2 or cells == len(trays) or empty in (0, cells):  # noqa: PLR2004 - one tray has no likeness
        return None
    by_tray = math.fsum(tray.cells_empty**2 / tray.cells_seen for tray in trays)
    between = (by_tray - empty**2 / cells) / (len(trays) - 1)
    within_trays = (empty - by_tray) / (cells - len(trays))
    typical = (cells - sum(tray.cells_seen**2 for tray in trays) / cells) / (len(trays) - 1)
    return min(1.0, max(0.0, (between - within_trays) / (between + (typical - 1) * within_trays)))


def _check(cells: int, p_empty: float, clustering: float = 0.0) -> None:
    whole("cells", cells, 1)
    within("p_empty", p_empty, 0, 1)
    within("clustering", clustering, 0, 1)
