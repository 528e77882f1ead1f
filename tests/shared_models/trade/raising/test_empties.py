import math
import random
from itertools import islice

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.raising.empties import (
    TrayCount,
    clustering_over,
    empties_not_exceeded,
    empty_rate,
    expected_empties,
    spread_of_empties,
    trays_to_sow,
)


def _sd(cells: int, p: float, clustering: float) -> float:
    """Standard deviation of a beta-binomial count, by its textbook formula."""
    return math.sqrt(cells * p * (1 - p) * (1 + (cells - 1) * clustering))


cells = st.integers(1, 300)
shares = st.floats(0, 1)


@given(cells=cells, p=shares, clustering=shares)
def test_the_chances_add_up_and_have_the_mean_and_spread_they_should(cells: int, p: float, clustering: float) -> None:
    spread = list(spread_of_empties(cells, p, clustering))

    mean = math.fsum(k * chance for k, chance in enumerate(spread))
    variance = math.fsum((k - mean) ** 2 * chance for k, chance in enumerate(spread))
    assert len(spread) == cells + 1
    assert math.fsum(spread) == pytest.approx(1)
    assert mean == pytest.approx(expected_empties(cells, p), abs=1e-6)
    assert math.sqrt(variance) == pytest.approx(_sd(cells, p, clustering), rel=1e-5, abs=1e-4)


def test_a_tray_whose_cells_fail_all_together_is_full_or_empty() -> None:
    assert list(spread_of_empties(3, 0.25, 1)) == [0.75, 0, 0, 0.25]


def test_one_cell_is_empty_or_it_is_not() -> None:
    assert list(spread_of_empties(1, 0.25, 0.5)) == pytest.approx([0.75, 0.25])


@given(p=st.floats(0.01, 0.5), clustering=st.floats(0.01, 0.5))
def test_clustering_makes_a_full_tray_likelier(p: float, clustering: float) -> None:
    assert next(spread_of_empties(264, p, clustering)) > next(spread_of_empties(264, p))


@given(cells=cells, p=shares, clustering=shares, probability=st.floats(0.001, 0.999))
def test_the_number_not_exceeded_is_the_smallest_that_holds(
    cells: int, p: float, clustering: float, probability: float
) -> None:
    spread = list(spread_of_empties(cells, p, clustering))

    limit = empties_not_exceeded(probability, cells, p, clustering)

    assert math.fsum(spread[: limit + 1]) >= probability - 1e-9
    assert math.fsum(spread[:limit]) < probability + 1e-9


def test_trays_that_agree_show_no_clustering() -> None:
    rate = empty_rate([TrayCount(100, 10)] * 5)

    assert (rate.p_empty, rate.clustering, rate.trays, rate.cells) == (0.1, 0, 5, 500)


def test_trays_all_empty_or_all_full_show_full_clustering() -> None:
    assert empty_rate([TrayCount(50, 0), TrayCount(50, 50), TrayCount(50, 0)]).clustering == pytest.approx(1)


@pytest.mark.parametrize(
    "trays",
    [
        [TrayCount(100, 10)],
        [TrayCount(100, 0), TrayCount(100, 0)],
        [TrayCount(80, 80), TrayCount(90, 90)],
        [TrayCount(1, 0), TrayCount(1, 1)],
    ],
)
def test_trays_that_cannot_tell_leave_the_clustering_open(trays: list[TrayCount]) -> None:
    assert empty_rate(trays).clustering is None


def test_clustering_is_found_again_in_trays_drawn_with_it() -> None:
    """400 trays whose own share of empties follows the beta distribution of clustering 0.05 around 0.2."""
    chance = random.Random(11)
    a, b = 0.2 * 19, 0.8 * 19
    trays = []
    for _ in range(400):
        p = chance.betavariate(a, b)
        trays.append(TrayCount(60, sum(chance.random() < p for _ in range(60))))

    rate = empty_rate(trays)

    assert rate.p_empty == pytest.approx(0.2, abs=0.02)
    assert rate.clustering == pytest.approx(0.05, abs=0.015)


@settings(max_examples=30, deadline=None)
@given(
    plants=st.integers(1, 800),
    p=st.floats(0, 0.5),
    probability=st.floats(0.05, 0.99),
    clustering=st.floats(0, 0.3),
)
def test_trays_to_sow_are_enough_and_one_less_is_not(
    plants: int, p: float, probability: float, clustering: float
) -> None:
    got = trays_to_sow(plants, p, probability, clustering, cells_per_tray=100)

    least = math.ceil(plants / 100)
    assert got.trays == least + got.extra
    assert got.chance >= probability - 1e-9
    if got.extra and not clustering:
        cells = 100 * (got.trays - 1)
        assert math.fsum(islice(spread_of_empties(cells, p), cells - plants + 1)) < probability + 1e-9


def test_sure_seed_needs_no_extra_tray() -> None:
    got = trays_to_sow(264, 0, 0.99)

    assert (got.trays, got.extra, got.chance) == (1, 0, 1)


def test_more_certainty_never_takes_fewer_trays() -> None:
    trays = [trays_to_sow(5000, 0.12, probability, 0.1).trays for probability in (0.5, 0.8, 0.95, 0.99)]

    assert trays == sorted(trays)
    assert trays[0] < trays[-1]


def test_one_big_cell_a_tray_counts_trays_as_cells() -> None:
    assert trays_to_sow(1, 0.5, 0.9, cells_per_tray=1).trays == 4


def test_trays_drawn_at_random_hold_enough_as_often_as_promised() -> None:
    """One beta-binomial with the right variance stands well enough for the sum of some 30 independent trays."""
    chance = random.Random(3)
    clustering, p, size = 0.1, 0.1, 50
    spare = (1 - clustering) / clustering
    enough = 0
    got = trays_to_sow(1300, p, 0.9, clustering, cells_per_tray=size)
    for _ in range(400):
        filled = 0
        for _ in range(got.trays):
            fails = chance.betavariate(p * spare, (1 - p) * spare)
            filled += sum(chance.random() >= fails for _ in range(size))
        enough += filled >= 1300

    assert enough / 400 == pytest.approx(got.chance, abs=0.05)


@pytest.mark.parametrize(("seen", "empty"), [(0, 0), (10, 11), (10, -1), (10, 1.5), (math.nan, 0)])
def test_impossible_trays_are_refused(seen: float, empty: float) -> None:
    with pytest.raises(BadQuantity):
        TrayCount(seen, empty)  # type: ignore[arg-type]


def test_a_slip_of_the_pen_is_refused_at_once() -> None:
    """Ten kilometres of a thousand rows, a millimetre apart."""
    with pytest.raises(BadQuantity, match="plants_wanted"):
        trays_to_sow(10_000_000_000, 0.1, 0.95, 0.02)


def test_trays_of_a_lot_that_hardly_comes_up_are_counted_while_they_can_be_sown() -> None:
    """Of 100 cells 98 are empty: a bed's 600 plants still have their trays, a farm's 6,000 have not."""
    assert trays_to_sow(600, 0.98, 0.9).trays == 120
    with pytest.raises(BadQuantity, match="from 1 to 6000"):
        trays_to_sow(6_001, 0.98, 0.9)


def test_several_trays_scatter_like_the_sum_of_each() -> None:
    together = clustering_over(6, 264, 0.02)

    assert together == pytest.approx(263 * 0.02 / (6 * 264 - 1))
    assert _sd(6 * 264, 0.1, together) == pytest.approx(math.sqrt(6) * _sd(264, 0.1, 0.02))
    assert (clustering_over(1, 264, 0.3), clustering_over(1, 1, 0.3)) == (0.3, 0)


def test_no_tray_at_all_is_refused() -> None:
    with pytest.raises(BadQuantity):
        empty_rate([])


@pytest.mark.parametrize(
    ("n", "p", "clustering"), [(0, 0.1, 0), (10, -0.1, 0), (10, 1.1, 0), (10, 0.1, -0.1), (10, 0.1, 2)]
)
def test_impossible_chances_are_refused(n: int, p: float, clustering: float) -> None:
    with pytest.raises(BadQuantity):
        spread_of_empties(n, p, clustering)


@pytest.mark.parametrize("probability", [0, 1, -1, math.nan])
def test_certainty_is_refused(probability: float) -> None:
    with pytest.raises(BadQuantity):
        trays_to_sow(100, 0.1, probability)
    with pytest.raises(BadQuantity):
        empties_not_exceeded(probability, 264, 0.1)


def test_seed_that_hardly_comes_up_is_refused() -> None:
    with pytest.raises(BadQuantity):
        trays_to_sow(100, 0.995, 0.9)
