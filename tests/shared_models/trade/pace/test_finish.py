import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.pace.finish import Estimate, Finish, in_sequence, three_point, time_left

row_times = st.lists(st.floats(0, 10_000), min_size=2, max_size=40)


def test_nothing_is_known_before_the_first_row() -> None:
    assert time_left([], 5) is None


def test_one_row_gives_an_expectation_without_a_range() -> None:
    assert time_left([600.0], 3) == Finish(1800.0, None, None)


def test_equal_rows_leave_no_doubt() -> None:
    assert time_left([600.0, 600.0, 600.0], 4) == Finish(2400.0, 2400.0, 2400.0)


def test_no_row_left_takes_no_time() -> None:
    assert time_left([500.0, 700.0], 0) == Finish(0.0, 0.0, 0.0)


def test_no_range_begins_below_zero() -> None:
    left = time_left([10.0, 1000.0], 1)

    assert left is not None
    assert left.low_s == 0.0


@given(row_times, st.floats(0, 100))
def test_the_range_holds_the_expectation_and_grows_with_confidence(past: list[float], rows_left: float) -> None:
    left, surer = time_left(past, rows_left), time_left(past, rows_left, confidence=0.99)

    assert left is not None
    assert surer is not None
    assert left.low_s is not None
    assert left.high_s is not None
    assert surer.high_s is not None
    assert left.low_s <= left.expected_s <= left.high_s <= surer.high_s


@given(row_times, st.integers(0, 50))
def test_one_more_row_takes_one_more_usual_row(past: list[float], rows_left: int) -> None:
    left, more = time_left(past, rows_left), time_left(past, rows_left + 1)

    assert left is not None
    assert more is not None
    assert more.expected_s - left.expected_s == pytest.approx(sum(past) / len(past), abs=1e-6)


def test_nineteen_finishes_in_twenty_fall_into_the_range() -> None:
    rng = np.random.default_rng(7)
    held = 0
    for _ in range(3000):
        times = rng.normal(600, 40, 6 + 5)
        left = time_left(times[:6].tolist(), 5)
        assert left is not None
        assert left.low_s is not None
        assert left.high_s is not None
        held += left.low_s <= times[6:].sum() <= left.high_s

    assert 0.94 <= held / 3000 <= 0.96


@given(st.lists(st.floats(0, 1e5), min_size=3, max_size=3).map(sorted))
def test_three_guesses_give_an_estimate_between_them(guesses: list[float]) -> None:
    estimate = three_point(*guesses)

    assert guesses[0] - 1e-6 <= estimate.expected_s <= guesses[2] + 1e-6
    assert estimate.sd_s == pytest.approx((guesses[2] - guesses[0]) / 6)


def test_luck_evens_out_over_a_sequence() -> None:
    job = Estimate(100.0, 10.0)

    assert in_sequence([job] * 4) == Estimate(400.0, 20.0)
    assert in_sequence([]) == Estimate(0.0, 0.0)


def test_impossible_times_are_refused() -> None:
    with pytest.raises(BadQuantity, match="past_s"):
        time_left([600.0, -1.0], 2)
    with pytest.raises(BadQuantity, match="rows_left"):
        time_left([600.0], -1)
    with pytest.raises(BadQuantity, match="rows_left"):
        time_left([], math.nan)
    for past in ([], [600.0], [600.0, 500.0]):
        with pytest.raises(BadQuantity, match="confidence"):
            time_left(past, 2, confidence=1.0)
    with pytest.raises(BadQuantity, match="likely_s"):
        three_point(5.0, 4.0, 6.0)
    with pytest.raises(BadQuantity, match="optimistic_s"):
        three_point(-1.0, 4.0, 6.0)
