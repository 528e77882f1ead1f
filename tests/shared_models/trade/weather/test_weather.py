from dataclasses import replace
from datetime import date, timedelta
from math import nan
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.weather.sun import clear_sky_radiation_mj, extraterrestrial_radiation_mj
from shared_models.trade.weather.weather import DayWeather, Place, daily_eto_mm, eto_mm

FARM = Place(42.5, 100)
DAY = DayWeather(date(2024, 5, 10), t_min_c=8, t_max_c=22)


def eto(day: DayWeather, place: Place = FARM) -> float:
    result = eto_mm(day, place)
    assert result is not None
    return result


def test_the_figure_of_a_station_is_taken_as_it_is() -> None:
    assert eto(replace(DAY, eto_mm=3.3)) == 3.3


def test_without_temperatures_a_day_says_nothing() -> None:
    assert eto_mm(DayWeather(DAY.on, rain_mm=4, t_min_c=3), FARM) is None


def test_each_thing_measured_takes_the_place_of_its_estimate() -> None:
    assert eto(replace(DAY, humidity_pct=95)) < eto(DAY) < eto(replace(DAY, humidity_pct=20))
    assert eto(replace(DAY, wind_m_per_s=2)) == eto(DAY) < eto(replace(DAY, wind_m_per_s=5, humidity_pct=20))
    assert eto(replace(DAY, sunshine_h=0)) < eto(replace(DAY, sunshine_h=13))
    assert eto(replace(DAY, solar_mj=5)) == eto(replace(DAY, solar_mj=5, sunshine_h=13))


def test_the_sun_estimated_from_temperature_is_at_most_that_of_a_clear_day() -> None:
    wide = replace(DAY, t_min_c=0, t_max_c=40)
    clear = clear_sky_radiation_mj(extraterrestrial_radiation_mj(42.5, DAY.on.timetuple().tm_yday), 100)

    assert eto(wide) == pytest.approx(eto(replace(wide, solar_mj=clear)))


def test_a_coast_has_more_sun_for_the_same_temperatures() -> None:
    assert eto(DAY, replace(FARM, coastal=True)) > eto(DAY)


@given(st.floats(-90, 90), st.integers(0, 365), st.floats(-20, 25), st.floats(0, 20))
def test_any_day_anywhere_takes_a_believable_amount(latitude: float, number: int, low_c: float, span_c: float) -> None:
    day = DayWeather(date(2024, 1, 1) + timedelta(days=number), t_min_c=low_c, t_max_c=low_c + span_c)

    assert 0 <= eto(day, Place(latitude)) < 15


def test_a_gap_takes_the_mean_of_the_days_around() -> None:
    days = [replace(DAY, eto_mm=2.0), DayWeather(DAY.on), replace(DAY, eto_mm=4.0)]

    assert daily_eto_mm(days, FARM) == [2.0, 3.0, 4.0]


def test_days_that_tell_nothing_are_refused() -> None:
    with pytest.raises(BadQuantity):
        daily_eto_mm([DayWeather(DAY.on, rain_mm=3)], FARM)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("rain_mm", -1),
        ("irrigation_mm", nan),
        ("t_min_c", -100),
        ("t_max_c", 7),
        ("humidity_pct", 101),
        ("wind_m_per_s", -1),
        ("sunshine_h", -1),
        ("solar_mj", -1),
        ("eto_mm", -0.1),
    ],
)
def test_a_day_refuses_what_no_day_can_bring(field: str, value: float) -> None:
    changed: dict[str, Any] = {field: value}

    with pytest.raises(BadQuantity) as trouble:
        replace(DAY, **changed)

    assert trouble.value.field == field


def test_more_sun_than_the_day_is_long_is_refused() -> None:
    with pytest.raises(BadQuantity):
        eto_mm(replace(DAY, sunshine_h=20), FARM)


@pytest.mark.parametrize(("latitude", "altitude"), [(91, 0), (nan, 0), (45, -1000)])
def test_a_place_lies_on_earth(latitude: float, altitude: float) -> None:
    with pytest.raises(BadQuantity):
        Place(latitude, altitude)
