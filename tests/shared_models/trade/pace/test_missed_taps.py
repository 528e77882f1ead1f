from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.pace.missed_taps import (
    mad_sd,
    modified_z,
    outliers,
    tap_forgotten,
    times_as_slow,
    usual_time_s,
)

USUAL = [(600.0, 30_000.0), (630.0, 30_000.0), (580.0, 30_000.0)]


def test_slowness_counts_by_length_and_not_by_row() -> None:
    assert times_as_slow(600.0, 30_000.0, USUAL) == pytest.approx(1.0)
    assert times_as_slow(600.0, 15_000.0, USUAL) == pytest.approx(2.0)


def test_five_times_as_slow_is_a_forgotten_tap() -> None:
    assert tap_forgotten(3000.0, 30_000.0, USUAL)
    assert not tap_forgotten(2999.0, 30_000.0, USUAL)
    assert tap_forgotten(2999.0, 30_000.0, USUAL, times=4.0)


def test_an_earlier_lunch_does_not_hide_the_next_one() -> None:
    """The median stays; a mean would call the second lunch usual."""
    assert tap_forgotten(4000.0, 30_000.0, [*USUAL, (20_000.0, 30_000.0)])


def test_what_is_usual_goes_by_length_and_a_lunch_does_not_move_it() -> None:
    assert usual_time_s(15_000.0, [*USUAL, (20_000.0, 30_000.0), (590.0, 30_000.0)]) == pytest.approx(300.0)
    assert usual_time_s(15_000.0, USUAL[:2]) is None


def test_two_rows_are_not_yet_a_habit() -> None:
    assert times_as_slow(6000.0, 30_000.0, USUAL[:2]) is None
    assert not tap_forgotten(6000.0, 30_000.0, USUAL[:2])
    assert times_as_slow(6000.0, 30_000.0, [(0.0, 30_000.0)] * 3) is None


def test_one_wild_value_does_not_move_the_scatter() -> None:
    assert mad_sd([10, 11, 12, 13, 14]) == mad_sd([10, 11, 12, 13, 1400])


def test_wild_values_are_pointed_out_by_place() -> None:
    assert outliers([41, 44, 39, 400, 43, 45, 40, 1]) == [3, 7]
    assert outliers([41, 44, 39, 47, 43, 45, 40, 46]) == []
    assert outliers([1, 1000]) == []


def test_mostly_equal_values_do_not_make_a_small_difference_wild() -> None:
    assert outliers([40, 40, 40, 41, 41]) == []
    assert outliers([40, 40, 40, 40, 40, 41, 39, 400]) == [7]


def test_among_equal_values_any_other_is_infinitely_far() -> None:
    assert modified_z(40, [40, 40, 40]) == 0.0
    assert modified_z(41, [40, 40, 40]) == math.inf
    assert modified_z(39, [40, 40, 40]) == -math.inf


values = st.lists(st.integers(-1000, 1000), min_size=3, max_size=30)


@given(values, st.integers(-100, 100), st.integers(1, 10))
def test_outliers_do_not_depend_on_the_unit(sample: list[int], shift: int, scale: int) -> None:
    moved = [scale * value + shift for value in sample]

    assert mad_sd(moved) == pytest.approx(scale * mad_sd(sample))
    assert modified_z(moved[0], moved) == pytest.approx(modified_z(sample[0], sample), abs=1e-9)


@given(values)
def test_more_than_half_of_the_values_are_never_outliers(sample: list[int]) -> None:
    assert len(outliers(sample)) <= len(sample) / 2


def test_impossible_figures_are_refused() -> None:
    with pytest.raises(BadQuantity, match="length_mm"):
        times_as_slow(600.0, 0.0, USUAL)
    with pytest.raises(BadQuantity, match="row_time_s"):
        times_as_slow(600.0, 100.0, [*USUAL, (-1.0, 100.0)])
    with pytest.raises(BadQuantity, match="length_mm"):
        usual_time_s(0.0, USUAL)
    with pytest.raises(BadQuantity, match="times"):
        tap_forgotten(600.0, 100.0, USUAL, times=0.0)
    with pytest.raises(BadQuantity, match="values"):
        mad_sd([])
    with pytest.raises(BadQuantity, match="limit"):
        outliers([1, 2, 3], 0.0)


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_figures_that_are_not_finite_are_refused(bad: float) -> None:
    with pytest.raises(BadQuantity, match="values"):
        mad_sd([1.0, bad])
    with pytest.raises(BadQuantity, match="value"):
        modified_z(bad, [1.0, 2.0])
    with pytest.raises(BadQuantity, match="values"):
        outliers([1.0, 2.0, bad])
