from __future__ import annotations

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
    wright_total,
    wright_unit,
    wrong_rate_error,
)

rates = st.floats(0.55, 1.1)
firsts = st.floats(1, 10_000)


@given(firsts, st.integers(1, 500), rates)
def test_crawford_each_doubling_brings_the_unit_down_to_the_rate(first: float, unit: int, rate: float) -> None:
    assert crawford_unit(first, 2 * unit, rate) == pytest.approx(rate * crawford_unit(first, unit, rate))


@given(firsts, st.integers(1, 500), rates)
def test_wright_each_doubling_brings_the_average_down_to_the_rate(first: float, units: int, rate: float) -> None:
    average = wright_total(first, units, rate) / units

    assert wright_total(first, 2 * units, rate) / (2 * units) == pytest.approx(rate * average)


@given(firsts, st.integers(2, 200), rates, st.data())
def test_totals_are_the_sum_of_their_units_and_blocks(
    first: float, last: int, rate: float, data: st.DataObject
) -> None:
    cut = data.draw(st.integers(1, last - 1))

    for whole, block, rest, units in (
        (
            crawford_total(first, last, rate),
            crawford_total(first, cut, rate),
            crawford_total(first, last, rate, cut + 1),
            sum(crawford_unit(first, unit, rate) for unit in range(1, last + 1)),
        ),
        (
            wright_total(first, last, rate),
            wright_total(first, cut, rate),
            wright_total(first, last, rate, cut + 1),
            sum(wright_unit(first, unit, rate) for unit in range(1, last + 1)),
        ),
    ):
        assert block + rest == pytest.approx(whole)
        assert units == pytest.approx(whole)


def test_the_two_definitions_agree_on_the_first_unit_only() -> None:
    assert crawford_unit(100, 1, 0.85) == wright_unit(100, 1, 0.85) == 100
    assert wright_unit(100, 10, 0.85) < crawford_unit(100, 10, 0.85)


@given(firsts, st.integers(1, 300), st.integers(1, 300), rates)
def test_any_known_unit_leads_to_the_same_curve(first: float, known: int, unit: int, rate: float) -> None:
    known_crawford, known_wright = crawford_unit(first, known, rate), wright_unit(first, known, rate)

    assert crawford_unit(known_crawford, unit, rate, known) == pytest.approx(crawford_unit(first, unit, rate))
    assert wright_unit(known_wright, unit, rate, known) == pytest.approx(wright_unit(first, unit, rate))
    assert crawford_total(known_crawford, unit, rate, known_unit=known) == pytest.approx(
        crawford_total(first, unit, rate)
    )


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
    assert wrong_rate_error(250, 0.85, 0.85) == 0.0


def test_assuming_too_little_learning_plans_too_much_time() -> None:
    assert wrong_rate_error(250, 0.87, 0.85) > 0 > wrong_rate_error(250, 0.83, 0.85)


def test_impossible_curves_are_refused() -> None:
    for rate in (0.0, -0.5, math.nan, math.inf):
        with pytest.raises(BadQuantity, match="rate"):
            crawford_unit(100, 2, rate)
        with pytest.raises(BadQuantity, match="rate"):
            wright_unit(100, 2, rate)
    with pytest.raises(BadQuantity, match="rate"):
        wright_total(100, 2, 0.5)
    with pytest.raises(BadQuantity, match="last"):
        crawford_total(100, 4, 0.85, first=5)
    with pytest.raises(BadQuantity, match="first"):
        wright_total(100, 4, 0.85, first=0.5)
    with pytest.raises(BadQuantity, match="known_s"):
        wright_unit(-100, 2, 0.85)
    with pytest.raises(BadQuantity, match="unit"):
        crawford_unit(100, 0, 0.85)
    with pytest.raises(BadQuantity, match="times_s"):
        fit_learning([1, 2], [600.0, 0.0])
    with pytest.raises(BadQuantity, match="x"):
        fit_learning([2, 2], [600.0, 500.0])
