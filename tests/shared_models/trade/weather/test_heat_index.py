from collections.abc import Callable
from math import nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.units import fahrenheit_to_celsius
from shared_models.errors import BadQuantity
from shared_models.trade.weather.heat_index import (
    ADVICE,
    LOCAL_RULES,
    HeatLevel,
    HeatScale,
    heat_caution,
    heat_index_c,
    heat_level,
)

HOTTER = {
    HeatScale.OSHA: [HeatLevel.LOWER, HeatLevel.MODERATE, HeatLevel.HIGH, HeatLevel.VERY_HIGH],
    HeatScale.NWS_LATER: [
        HeatLevel.NONE,
        HeatLevel.CAUTION,
        HeatLevel.EXTREME_CAUTION,
        HeatLevel.DANGER,
        HeatLevel.EXTREME_DANGER,
    ],
}
HOTTER[HeatScale.NWS_OLDER] = HOTTER[HeatScale.NWS_LATER]


@given(st.floats(27, 43), st.floats(40, 84), st.floats(0.1, 2))
def test_hotter_air_feels_hotter(air_c: float, humidity: float, warmer_c: float) -> None:
    assert heat_index_c(air_c + warmer_c, humidity) > heat_index_c(air_c, humidity)


@given(st.floats(32, 43), st.floats(40, 90), st.floats(1, 10))
def test_damper_air_feels_hotter(air_c: float, humidity: float, damper: float) -> None:
    assert heat_index_c(air_c, humidity + damper) > heat_index_c(air_c, humidity)


@given(st.floats(-10, 20), st.floats(0, 100))
def test_cool_air_never_gives_a_caution(air_c: float, humidity: float) -> None:
    assert heat_level(heat_index_c(air_c, humidity), HeatScale.NWS_LATER) is HeatLevel.NONE


def test_the_corrections_end_at_the_corners_of_their_rules() -> None:
    """At 13 and 85 % and at 112 and 87 °F they are nothing, so no step shows."""
    for air_f, humidity, beyond_f, beyond in (
        (95, 13, 95, 12.9999),
        (86, 85, 86, 85.0001),
        (112, 5, 112.0001, 5),
        (87, 95, 86.9999, 95),
    ):
        assert heat_index_c(fahrenheit_to_celsius(air_f), humidity) == pytest.approx(
            heat_index_c(fahrenheit_to_celsius(beyond_f), beyond), abs=1e-3
        )


@given(st.sampled_from(HeatScale), st.floats(-20, 80), st.floats(0, 20))
def test_a_higher_index_never_means_less_care(scale: HeatScale, index_c: float, more_c: float) -> None:
    order = HOTTER[scale]

    assert order.index(heat_level(index_c, scale)) <= order.index(heat_level(index_c + more_c, scale))


@given(st.sampled_from(HeatScale), st.floats(-10, 45), st.floats(0, 100))
def test_the_advice_is_for_full_sun_and_local_rules_stand_beside_it(
    scale: HeatScale, air_c: float, humidity: float
) -> None:
    caution = heat_caution(air_c, humidity, scale)

    assert caution.sun_index_c - caution.index_c == pytest.approx(15 / 1.8)
    assert caution.level is heat_level(caution.index_c, scale)
    assert caution.advice == ADVICE[heat_level(caution.sun_index_c, scale)]
    assert caution.note == LOCAL_RULES
    assert caution.scale is scale


def test_a_mild_morning_can_be_hot_work_in_the_sun() -> None:
    """28 °C at half humidity: 28.5 °C in the shade, up to 36.8 °C in the sun."""
    caution = heat_caution(28, 50)

    assert caution.level is HeatLevel.LOWER
    assert caution.sun_level is HeatLevel.MODERATE


def test_every_level_has_its_advice() -> None:
    assert set(ADVICE) == set(HeatLevel)


@pytest.mark.parametrize(
    "refused",
    [
        lambda: heat_index_c(30, 101),
        lambda: heat_index_c(30, -1),
        lambda: heat_index_c(nan, 50),
        lambda: heat_index_c(90, 50),
        lambda: heat_level(nan),
        lambda: heat_caution(-80, 50),
    ],
)
def test_impossible_air_is_refused(refused: Callable[[], object]) -> None:
    with pytest.raises(BadQuantity):
        refused()
