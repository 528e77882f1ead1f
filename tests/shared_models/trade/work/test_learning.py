import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.work.learning import (
    crawford_total,
    crawford_unit,
    fit_learning,
    learning_exponent,
)

rates = st.floats(0.55, 1.1)
firsts = st.floats(1, 10_000)


@given(firsts, st.integers(1, 500), rates)
def test_each_doubling_brings_the_unit_down_to_the_rate(first: float, unit: int, rate: float) -> None:
    assert crawford_unit(first, 2 * unit, rate) == pytest.approx(rate * crawford_unit(first, unit, rate))


@given(firsts, st.integers(2, 200), rates, st.data())
def test_totals_are_the_sum_of_their_units_and_blocks(
    first: float, last: int, rate: float, data: st.DataObject
) -> None:
    cut = data.draw(st.integers(1, last - 1))

    whole = crawford_total(first, last, rate)

    assert crawford_total(first, cut, rate) + crawford_total(first, last, rate, cut + 1) == pytest.approx(whole)
    assert sum(crawford_unit(first, unit, rate) for unit in range(1, last + 1)) == pytest.approx(whole)


@given(firsts, st.integers(1, 300), st.integers(1, 300), rates)
def test_any_known_unit_leads_to_the_same_curve(first: float, known: int, unit: int, rate: float) -> None:
    known_s = crawford_unit(first, known, rate)

    assert crawford_unit(known_s, unit, rate, known) == pytest.approx(crawford_unit(first, unit, rate))
    assert crawford_total(known_s, unit, rate, known_unit=known) == pytest.approx(crawford_total(first, unit, rate))


@given(firsts, rates, st.lists(st.integers(1, 1000), min_size=2, max_size=20, unique=True))
def test_a_learning_rate_is_found_again_from_its_times(first: float, rate: float, units: list[int]) -> None:
    found = fit_learning(units, [crawford_unit(first, unit, rate) for unit in units])

    assert found.rate == pytest.approx(rate, rel=1e-6)
    assert found.first_s == pytest.approx(first, rel=1e-5)


def test_no_learning_is_a_rate_of_one() -> None:
    found = fit_learning([1, 2, 3, 4], [600.0] * 4)

    assert (found.first_s, found.rate) == pytest.approx((600.0, 1.0))
    assert found.r_squared is None
    assert learning_exponent(1.0) == 0.0


def test_impossible_curves_are_refused() -> None:
    for rate in (0.0, -0.5, math.nan, math.inf):
        with pytest.raises(BadQuantity, match="rate"):
            crawford_unit(100, 2, rate)
    with pytest.raises(BadQuantity, match="last"):
        crawford_total(100, 4, 0.85, first=5)
    with pytest.raises(BadQuantity, match="first"):
        crawford_total(100, 4, 0.85, first=0)
    with pytest.raises(BadQuantity, match="known_s"):
        crawford_unit(-100, 2, 0.85)
    with pytest.raises(BadQuantity, match="unit"):
        crawford_unit(100, 0, 0.85)
    with pytest.raises(BadQuantity, match="times_s"):
        fit_learning([1, 2], [600.0, 0.0])
    with pytest.raises(BadQuantity, match="x"):
        fit_learning([2, 2], [600.0, 500.0])
