from collections.abc import Callable
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.weather.evapotranspiration import (
    air_pressure_kpa,
    humid_vapour_pressure_kpa,
    net_radiation_mj,
    penman_monteith_mm,
    psychrometric_kpa_per_c,
    saturation_slope_kpa_per_c,
    saturation_vapour_pressure_kpa,
)

temperatures = st.floats(-20, 35)
spans = st.floats(0, 20)


@given(temperatures, st.floats(0.1, 10))
def test_warm_air_holds_more_vapour(t_c: float, warmer: float) -> None:
    assert saturation_vapour_pressure_kpa(t_c + warmer) > saturation_vapour_pressure_kpa(t_c)


@given(temperatures)
def test_the_slope_is_that_of_the_curve(t_c: float) -> None:
    rise = saturation_vapour_pressure_kpa(t_c + 0.005) - saturation_vapour_pressure_kpa(t_c - 0.005)

    assert saturation_slope_kpa_per_c(t_c) == pytest.approx(rise / 0.01, rel=1e-3)


@given(temperatures, spans, st.floats(0, 25), st.floats(0, 6))
def test_the_air_never_takes_less_than_nothing(low_c: float, span_c: float, net_mj: float, wind: float) -> None:
    vapour = humid_vapour_pressure_kpa(low_c, low_c + span_c, 100)

    assert penman_monteith_mm(low_c, low_c + span_c, net_mj - 10, vapour, wind) >= 0


@given(temperatures, spans, st.floats(1, 25), st.floats(0, 100), st.floats(0.1, 10))
def test_more_sun_and_drier_air_take_more_water(
    low_c: float, span_c: float, net_mj: float, humidity: float, more: float
) -> None:
    high_c = low_c + span_c
    damp = humid_vapour_pressure_kpa(low_c, high_c, humidity)
    taken = penman_monteith_mm(low_c, high_c, net_mj, damp)

    assert penman_monteith_mm(low_c, high_c, net_mj + more, damp) > taken
    assert penman_monteith_mm(low_c, high_c, net_mj, damp * 0.9) >= taken


@given(st.floats(0, 4_000), st.floats(1, 2_000))
def test_the_air_is_thinner_higher_up(altitude_m: float, higher_m: float) -> None:
    assert air_pressure_kpa(altitude_m + higher_m) < air_pressure_kpa(altitude_m)


def test_a_clear_sky_lets_more_heat_out_than_a_cloudy_one() -> None:
    reflected = 0.77

    clear = reflected * 20 - net_radiation_mj(20, 20, 10, 20, 1.0)
    cloudy = reflected * 10 - net_radiation_mj(10, 20, 10, 20, 1.0)

    assert clear > cloudy > 0


def test_more_sun_than_a_clear_sky_gives_counts_as_clear() -> None:
    over, exact = net_radiation_mj(25, 20, 10, 20, 1.0), net_radiation_mj(20, 20, 10, 20, 1.0)

    assert over - exact == pytest.approx(0.77 * 5)


def test_a_polar_night_loses_heat_without_gaining_any() -> None:
    assert net_radiation_mj(0, 0, -20, -10, 0.1) < 0


@pytest.mark.parametrize(
    "refused",
    [
        lambda: saturation_vapour_pressure_kpa(nan),
        lambda: humid_vapour_pressure_kpa(10, 20, 101),
        lambda: humid_vapour_pressure_kpa(20, 10, 50),
        lambda: air_pressure_kpa(20_000),
        lambda: psychrometric_kpa_per_c(-1),
        lambda: net_radiation_mj(-1, 20, 10, 20, 1),
        lambda: net_radiation_mj(20, 20, 10, 20, -1),
        lambda: penman_monteith_mm(10, 20, 10, 1, -2),
        lambda: penman_monteith_mm(10, 90, 10, 1),
        lambda: penman_monteith_mm(10, 20, nan, 1),
        lambda: penman_monteith_mm(10, 20, 10, 1, soil_heat_mj=inf),
    ],
)
def test_impossible_weather_is_refused(refused: Callable[[], object]) -> None:
    with pytest.raises(BadQuantity):
        refused()
