import pytest

from shared_models.errors import BadQuantity
from shared_models.trade.pace.missed_taps import (
    tap_missed,
    times_as_slow,
    usual_time_s,
)

USUAL = [(600.0, 30_000.0), (630.0, 30_000.0), (580.0, 30_000.0)]


def test_slowness_counts_by_length_and_not_by_row() -> None:
    assert times_as_slow(600.0, 30_000.0, USUAL) == pytest.approx(1.0)
    assert times_as_slow(600.0, 15_000.0, USUAL) == pytest.approx(2.0)


def test_five_times_as_slow_is_a_forgotten_tap() -> None:
    assert tap_missed(3000.0, 30_000.0, USUAL)
    assert not tap_missed(2999.0, 30_000.0, USUAL)
    assert tap_missed(2999.0, 30_000.0, USUAL, times=4.0)


def test_an_earlier_lunch_does_not_hide_the_next_one() -> None:
    """The median stays; a mean would call the second lunch usual."""
    assert tap_missed(4000.0, 30_000.0, [*USUAL, (20_000.0, 30_000.0)])


def test_what_is_usual_goes_by_length_and_a_lunch_does_not_move_it() -> None:
    assert usual_time_s(15_000.0, [*USUAL, (20_000.0, 30_000.0), (590.0, 30_000.0)]) == pytest.approx(300.0)
    assert usual_time_s(15_000.0, USUAL[:2]) is None


def test_two_rows_are_not_yet_a_habit() -> None:
    assert times_as_slow(6000.0, 30_000.0, USUAL[:2]) is None
    assert not tap_missed(6000.0, 30_000.0, USUAL[:2])
    assert times_as_slow(6000.0, 30_000.0, [(0.0, 30_000.0)] * 3) is None


def test_impossible_figures_are_refused() -> None:
    with pytest.raises(BadQuantity, match="length_mm"):
        times_as_slow(600.0, 0.0, USUAL)
    with pytest.raises(BadQuantity, match="row_time_s"):
        times_as_slow(600.0, 100.0, [*USUAL, (-1.0, 100.0)])
    with pytest.raises(BadQuantity, match="length_mm"):
        usual_time_s(0.0, USUAL)
    with pytest.raises(BadQuantity, match="times"):
        tap_missed(600.0, 100.0, USUAL, times=0.0)
