"""Empty cells."""

import pytest
from scipy import stats

from shared_models.trade.raising.empties import (
    TrayCount,
    empties_not_exceeded,
    empty_rate,
    expected_empties,
    spread_of_empties,
    trays_to_sow,
)
from shared_models.trade.raising.germination import germination_seen, p_cell_empty, seeds_per_cell_for
from tests.published.conftest import Check

BINOMIAL = "Binomial distribution over 264 cells, computed with scipy 1.17"
BETA_BINOMIAL = "Beta-binomial distribution over 264 cells, computed with scipy 1.17"
CROWDER = (
    "Crowder (1978), Applied Statistics 27:34-37, seeds on 21 plates (data as quoted in the R package agridat); "
    "analysis of variance of the single seeds computed with scipy 1.17"
)
CELLS = 264

#: germination, seeds per cell, P(empty), expected, 95th percentile
TABLE = [
    *[(0.60, 1, 0.4, 105.6, 119), (0.60, 2, 0.16, 42.24, 52), (0.60, 3, 0.064, 16.896, 24)],
    *[(0.70, 1, 0.3, 79.2, 92), (0.70, 2, 0.09, 23.76, 32), (0.70, 3, 0.027, 7.128, 12)],
    *[(0.80, 1, 0.2, 52.8, 64), (0.80, 2, 0.04, 10.56, 16), (0.80, 3, 0.008, 2.112, 5)],
    *[(0.90, 1, 0.1, 26.4, 35), (0.90, 2, 0.01, 2.64, 6), (0.90, 3, 0.001, 0.264, 1)],
    *[(0.95, 1, 0.05, 13.2, 19), (0.95, 2, 0.0025, 0.66, 2), (0.95, 3, 0.000125, 0.033, 0)],
]


@pytest.mark.parametrize(("germination", "seeds", "p", "expected", "percentile"), TABLE)
def test_empties_of_a_tray(
    published: Check, germination: float, seeds: int, p: float, expected: float, percentile: int
) -> None:
    case = f"germination {germination:g}, {seeds} seeds"
    p_empty = p_cell_empty(germination, seeds)

    published(BINOMIAL, f"{case}: P(empty)", p_empty, p, 1e-6 * p)
    published(
        BINOMIAL,
        f"{case}: germination from P(empty)",
        germination_seen(10**6, round(p * 1e6), seeds),
        germination,
        1e-9,
    )
    published(BINOMIAL, f"{case}: expected", expected_empties(CELLS, p_empty), expected, 1e-6 * expected)
    published(BINOMIAL, f"{case}: 95th percentile", empties_not_exceeded(0.95, CELLS, p_empty), percentile, 0)


@pytest.mark.parametrize(("germination", "seeds"), [(0.6, 6), (0.7, 4), (0.8, 3), (0.9, 2)])
def test_seeds_for_one_empty_cell_in_a_hundred(published: Check, germination: float, seeds: int) -> None:
    source = "(1 - g)^n <= 0.01, computed"
    published(source, f"germination {germination:g}: seeds per cell", seeds_per_cell_for(germination, 0.01), seeds, 0)


@pytest.mark.parametrize(("p", "clustering"), [(0.1, 0.0), (0.1, 0.02), (0.3, 0.2), (0.01, 0.5), (0.97, 0.05)])
def test_chance_of_each_number_of_empties(published: Check, p: float, clustering: float) -> None:
    if clustering:
        spare = (1 - clustering) / clustering
        reference = stats.betabinom(CELLS, p * spare, (1 - p) * spare)
    else:
        reference = stats.binom(CELLS, p)

    spread = spread_of_empties(CELLS, p, clustering)

    worst = max(abs(got - reference.pmf(k)) for k, got in enumerate(spread))
    published(BETA_BINOMIAL, f"p {p:g}, clustering {clustering:g}: largest difference of 265 chances", worst, 0, 1e-9)
    got = empties_not_exceeded(0.95, CELLS, p, clustering)
    published(BETA_BINOMIAL, f"p {p:g}, clustering {clustering:g}: 95th percentile", got, reference.ppf(0.95), 0)


@pytest.mark.parametrize(("plants", "p", "surely"), [(264, 0.1, 0.95), (3000, 0.1, 0.95), (3000, 0.3, 0.99)])
def test_trays_for_enough_plants(published: Check, plants: int, p: float, surely: float) -> None:
    trays = next(t for t in range(1, 50) if stats.binom.sf(plants - 1, t * CELLS, 1 - p) >= surely)

    got = trays_to_sow(plants, p, surely)

    published(BINOMIAL, f"{plants} plants at P(empty) {p:g}, {surely:.0%} sure: trays", got.trays, trays, 0)
    chance = float(stats.binom.sf(plants - 1, trays * CELLS, 1 - p))
    published(BINOMIAL, f"{plants} plants at P(empty) {p:g}: chance", got.chance, chance, 1e-9)


def test_clustering_of_seeds_on_plates(published: Check) -> None:
    """The likeness of seeds of one plate, from the mean squares that an analysis of variance of 831 seeds gives."""
    germinated = [10, 23, 23, 26, 17, 8, 10, 8, 23, 0, 5, 53, 55, 32, 46, 10, 3, 22, 15, 32, 3]
    sown = [39, 62, 81, 51, 39, 16, 30, 28, 45, 4, 6, 74, 72, 51, 79, 13, 12, 41, 30, 51, 7]
    seeds = [[1.0] * up + [0.0] * (n - up) for up, n in zip(germinated, sown, strict=True)]
    f = stats.f_oneway(*seeds).statistic  # between / within mean squares
    typical = (831 - sum(n * n for n in sown) / 831) / 20
    expected = (f - 1) / (f + typical - 1)

    got = empty_rate([TrayCount(n, n - up) for up, n in zip(germinated, sown, strict=True)])

    published(CROWDER, "share without seedling", got.p_empty, 1 - 0.51023, 5e-6)
    assert got.clustering is not None
    published(CROWDER, "intraclass correlation", got.clustering, float(expected), 1e-9)
