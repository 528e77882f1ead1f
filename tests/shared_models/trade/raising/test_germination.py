import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.raising.germination import (
    germination_seen,
    p_cell_empty,
    seeds_per_cell_for,
)

germinations = st.floats(0.01, 1)


@given(germination=germinations, seeds=st.integers(1, 10))
def test_another_seed_never_leaves_more_cells_empty(germination: float, seeds: int) -> None:
    assert p_cell_empty(germination, seeds + 1) <= p_cell_empty(germination, seeds)


@given(germination=st.floats(0.05, 0.999), p_empty=st.floats(1e-6, 1))
def test_seeds_per_cell_are_enough_and_one_less_is_not(germination: float, p_empty: float) -> None:
    seeds = seeds_per_cell_for(germination, p_empty)

    assert p_cell_empty(germination, seeds) <= p_empty * (1 + 1e-6)
    if seeds > 1:
        assert p_cell_empty(germination, seeds - 1) > p_empty


@pytest.mark.parametrize(
    ("germination", "p_empty", "seeds"), [(0.7, 0.09, 2), (0.7, 0.027, 3), (0.9, 0.01, 2), (0.8, 0.2, 1), (1, 0.5, 1)]
)
def test_a_chance_met_exactly_needs_no_further_seed(germination: float, p_empty: float, seeds: int) -> None:
    assert seeds_per_cell_for(germination, p_empty) == seeds


@given(germination=germinations, seeds=st.integers(1, 4))
def test_empty_cells_lead_back_to_the_germination_they_came_from(germination: float, seeds: int) -> None:
    cells = 10**12
    empty = round(cells * p_cell_empty(germination, seeds))

    assert germination_seen(cells, empty, seeds) == pytest.approx(germination, abs=1e-3)


@pytest.mark.parametrize("germination", [-0.1, 1.1, math.nan, math.inf])
def test_impossible_germination_is_refused(germination: float) -> None:
    with pytest.raises(BadQuantity):
        p_cell_empty(germination, 1)
    with pytest.raises(BadQuantity):
        seeds_per_cell_for(germination, 0.1)


@pytest.mark.parametrize("seeds", [0, -1, 1.5, math.nan])
def test_impossible_seeds_are_refused(seeds: float) -> None:
    with pytest.raises(BadQuantity):
        p_cell_empty(0.9, seeds)  # type: ignore[arg-type]
    with pytest.raises(BadQuantity):
        germination_seen(100, 10, seeds)  # type: ignore[arg-type]


@pytest.mark.parametrize(("germination", "p_empty"), [(0, 0.1), (0.9, 0), (0.9, 1.1), (0.9, math.nan)])
def test_what_no_number_of_seeds_can_reach_is_refused(germination: float, p_empty: float) -> None:
    with pytest.raises(BadQuantity):
        seeds_per_cell_for(germination, p_empty)


@pytest.mark.parametrize(("seen", "empty"), [(0, 0), (10, 11), (10, -1)])
def test_impossible_counts_are_refused(seen: int, empty: int) -> None:
    with pytest.raises(BadQuantity):
        germination_seen(seen, empty, 1)
