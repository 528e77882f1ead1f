from collections.abc import Callable
from dataclasses import replace
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.work.lifting import (
    LB_IN,
    Coupling,
    Lift,
    frequency_multiplier,
    lifting_index,
    multipliers,
    recommended_weight,
)

BEST = Lift(reach=25, height=75, travel=25)
lifts = st.builds(
    Lift,
    reach=st.floats(0, 80),
    height=st.floats(0, 200),
    travel=st.floats(0, 200),
    asymmetry_deg=st.floats(0, 180),
    lifts_per_min=st.floats(0, 20),
    hours=st.floats(0.1, 8),
    coupling=st.sampled_from(Coupling),
)


def test_the_best_of_lifts_allows_the_whole_load_constant() -> None:
    assert recommended_weight(BEST) == 23
    assert recommended_weight(Lift(10, 30, 10), LB_IN) == 51


@given(lifts)
def test_no_lift_allows_more_than_the_load_constant(lift: Lift) -> None:
    assert 0 <= recommended_weight(lift) <= 23


@given(lifts, st.floats(0.1, 30))
def test_reaching_turning_and_hurrying_never_allow_more(lift: Lift, more: float) -> None:
    limit = recommended_weight(lift)

    for harder in (
        replace(lift, reach=lift.reach + more),
        replace(lift, travel=lift.travel + more),
        replace(lift, asymmetry_deg=lift.asymmetry_deg + more),
        replace(lift, lifts_per_min=lift.lifts_per_min + more),
        replace(lift, coupling=Coupling.POOR),
        replace(lift, hours=8),
    ):
        assert recommended_weight(harder) <= limit + 1e-12


@pytest.mark.parametrize(
    "beyond",
    [
        replace(BEST, reach=63.1),
        replace(BEST, height=175.1),
        replace(BEST, travel=175.1),
        replace(BEST, asymmetry_deg=135.1),
        replace(BEST, lifts_per_min=15.1),
    ],
)
def test_beyond_a_limit_nothing_may_be_lifted(beyond: Lift) -> None:
    assert recommended_weight(beyond) == 0
    assert lifting_index(5, beyond) == inf


def test_closer_than_25_cm_counts_as_25_cm() -> None:
    assert multipliers(replace(BEST, reach=10, travel=5)) == multipliers(BEST)


def test_between_two_rows_of_the_frequency_table_the_line_between_them_counts() -> None:
    assert frequency_multiplier(2.4, 1, 75) == pytest.approx(0.91 - 0.4 * 0.03)
    assert frequency_multiplier(0.35, 8, 75) == pytest.approx(0.83)


def test_faster_than_the_last_row_with_a_figure_is_not_allowed() -> None:
    assert frequency_multiplier(12, 1, 74) == 0.37
    assert frequency_multiplier(12.1, 1, 74) == 0
    assert frequency_multiplier(12.1, 1, 75) > 0.3


def test_an_hour_and_two_hours_still_belong_to_the_shorter_column() -> None:
    assert frequency_multiplier(1, 1, 75) == 0.94
    assert frequency_multiplier(1, 1.01, 75) == 0.88
    assert frequency_multiplier(1, 2, 75) == 0.88
    assert frequency_multiplier(1, 2.01, 75) == 0.75


def test_frequency_asks_where_the_lift_began_and_grip_where_it_is_judged() -> None:
    at_the_bench = Lift(30, 90, 60, lifts_per_min=13, coupling=Coupling.FAIR, origin_height=30)

    assert multipliers(at_the_bench).frequency == 0
    assert multipliers(replace(at_the_bench, origin_height=None)).frequency == 0.34
    assert multipliers(at_the_bench).coupling == 1


@given(lifts, st.floats(0, 50))
def test_the_index_is_the_load_over_the_limit(lift: Lift, load_kg: float) -> None:
    limit = recommended_weight(lift)

    if limit:
        assert lifting_index(load_kg, lift) * limit == pytest.approx(load_kg)


@pytest.mark.parametrize(
    "refused",
    [
        lambda: recommended_weight(replace(BEST, reach=-1)),
        lambda: recommended_weight(replace(BEST, height=nan)),
        lambda: recommended_weight(replace(BEST, travel=inf)),
        lambda: recommended_weight(replace(BEST, asymmetry_deg=-5)),
        lambda: recommended_weight(replace(BEST, lifts_per_min=-1)),
        lambda: recommended_weight(replace(BEST, hours=9)),
        lambda: recommended_weight(replace(BEST, hours=0)),
        lambda: recommended_weight(replace(BEST, origin_height=-1)),
        lambda: lifting_index(-1, BEST),
    ],
)
def test_impossible_lifts_are_refused(refused: Callable[[], object]) -> None:
    with pytest.raises(BadQuantity):
        refused()
