import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.weather.degree_days import (
    Cutoff,
    average_method_1,
    average_method_2,
    single_sine,
)

Curve = Callable[..., float]
temperatures = st.floats(-40, 50)
swings = st.floats(0, 40)
thresholds = st.floats(0, 20)
widths = st.floats(0.5, 30)


@given(low=temperatures, swing=swings, lower=thresholds, width=widths)
def test_the_single_sine_is_the_six_printed_cases(low: float, swing: float, lower: float, width: float) -> None:
    """Zalom et al. (1983), table 5: one formula for each way a wave can lie between two thresholds."""
    high, upper = low + swing, lower + width

    got = single_sine(low, high, lower, upper)

    assert got == pytest.approx(_zalom_sine(low, high, lower, upper), abs=1e-6)


def _zalom_sine(low: float, high: float, lower: float, upper: float) -> float:
    middle, half = (low + high) / 2, (high - low) / 2
    if low >= upper:
        return upper - lower
    if high <= lower:
        return 0
    enters = math.asin(max(-1, (lower - middle) / half)) if half else 0.0
    leaves = math.asin(min(1, (upper - middle) / half)) if half else 0.0
    if low >= lower and high <= upper:
        return middle - lower
    if high <= upper:
        return ((middle - lower) * (math.pi / 2 - enters) + half * math.cos(enters)) / math.pi
    if low >= lower:
        rest = (upper - lower) * (math.pi / 2 - leaves)
        return ((middle - lower) * (math.pi / 2 + leaves) + rest - half * math.cos(leaves)) / math.pi
    climb = (middle - lower) * (leaves - enters) + half * (math.cos(enters) - math.cos(leaves))
    return (climb + (upper - lower) * (math.pi / 2 - leaves)) / math.pi


@given(low=temperatures, swing=swings, lower=thresholds, width=widths)
def test_vertical_takes_off_most_and_horizontal_least(low: float, swing: float, lower: float, width: float) -> None:
    horizontal, intermediate, vertical = (
        single_sine(low, low + swing, lower, lower + width, cutoff)
        for cutoff in (Cutoff.HORIZONTAL, Cutoff.INTERMEDIATE, Cutoff.VERTICAL)
    )

    assert 0 <= vertical <= intermediate + 1e-9
    assert intermediate <= horizontal + 1e-9
    assert horizontal <= width + 1e-9


@given(low=temperatures, swing=swings, warmer=st.floats(0, 10), lower=thresholds, width=widths)
def test_a_warmer_day_never_brings_less_under_a_horizontal_cutoff(
    low: float, swing: float, warmer: float, lower: float, width: float
) -> None:
    cool = single_sine(low, low + swing, lower, lower + width)
    warm = single_sine(low + warmer, low + swing + warmer, lower, lower + width)

    assert warm >= cool - 1e-9


@given(low=temperatures, swing=swings, lower=thresholds, cutoff=st.sampled_from(Cutoff))
def test_an_upper_threshold_that_is_never_reached_changes_nothing(
    low: float, swing: float, lower: float, cutoff: Cutoff
) -> None:
    assert single_sine(low, low + swing, lower, 1000, cutoff) == pytest.approx(
        single_sine(low, low + swing, lower), abs=1e-9
    )


def test_a_day_without_swing_is_a_flat_line() -> None:
    assert single_sine(15, 15, 10, 30) == 5
    assert single_sine(10, 10, 10, 30) == 0
    assert single_sine(35, 35, 10, 30) == 20
    assert single_sine(35, 35, 10, 30, Cutoff.VERTICAL) == 0
    assert single_sine(35, 35, 10, 30, Cutoff.INTERMEDIATE) == 15


@given(low=temperatures, swing=swings, lower=thresholds, width=widths, cutoff=st.sampled_from(Cutoff))
def test_fahrenheit_gives_nine_fifths_of_celsius(
    low: float, swing: float, lower: float, width: float, cutoff: Cutoff
) -> None:
    celsius = (low, low + swing, lower, lower + width)
    t_min, t_max, base, upper = (1.8 * t + 32 for t in celsius)

    fahrenheit = single_sine(t_min, t_max, base, upper, cutoff)

    # rounding may move a flat day's case
    assert fahrenheit == pytest.approx(1.8 * single_sine(*celsius, cutoff=cutoff), abs=1e-4)


@given(low=temperatures, swing=swings, base=thresholds)
def test_method_2_never_gives_less_than_method_1(low: float, swing: float, base: float) -> None:
    assert average_method_2(low, low + swing, base) >= average_method_1(low, low + swing, base) - 1e-9


def test_average_methods_meet_the_upper_threshold_where_each_applies_it() -> None:
    assert average_method_1(10, 40, 10, 30) == 15
    assert average_method_2(10, 40, 10, 30) == 10
    assert average_method_1(32, 40, 10, 30) == 20
    assert average_method_2(32, 40, 10, 30) == 20


@pytest.mark.parametrize(
    ("arguments", "field"),
    [
        ((20, 10, 5), "t_max"),
        ((math.nan, 10, 5), "t_min"),
        ((0, math.inf, 5), "t_max"),
        ((0, 10, math.nan), "lower"),
        ((0, 10, 5, 5), "upper"),
        ((0, 10, 5, math.nan), "upper"),
    ],
)
@pytest.mark.parametrize("method", [single_sine, average_method_1, average_method_2])
def test_impossible_temperatures_are_refused(method: Curve, arguments: tuple[float, ...], field: str) -> None:
    with pytest.raises(BadQuantity) as refused:
        method(*arguments)

    assert refused.value.field == field
