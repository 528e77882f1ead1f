"""Sun and evapotranspiration."""

from datetime import date

import pytest

from shared_models.trade.weather.evapotranspiration import (
    air_pressure_kpa,
    humid_vapour_pressure_kpa,
    net_radiation_mj,
    penman_monteith_mm,
    psychrometric_kpa_per_c,
    saturation_slope_kpa_per_c,
    saturation_vapour_pressure_kpa,
)
from shared_models.trade.weather.sun import (
    clear_sky_radiation_mj,
    day_length_h,
    declination_rad,
    extraterrestrial_radiation_mj,
    relative_distance,
    solar_from_sunshine_mj,
    solar_from_temperature_mj,
    sunset_angle_rad,
)
from shared_models.trade.weather.weather import DayWeather, Place, eto_mm
from tests.published.conftest import Check

FAO = "Allen et al. (1998), FAO Irrigation and Drainage Paper 56"
OPEN_TESTS = "as quoted in the tests of an open library that cite page and example (woodcrafty/PyETo, test_fao)"
MONTHLY = "as quoted in the tests of an open library that cite page and example (pet_equations)"
COPY = "as quoted in a stored copy"
PYET = "computed with pyet 1.5.0"

THIRD_OF_SEPTEMBER = 246
SIXTH_OF_JULY = 187
MID_APRIL = 105


def test_sun_of_example_8_and_9(published: Check) -> None:
    """20°S, 3 September."""
    day = THIRD_OF_SEPTEMBER

    published(f"{FAO}, example 8, {OPEN_TESTS}", "relative distance", relative_distance(day), 0.985, 5e-4)
    published(f"{FAO}, example 8, {OPEN_TESTS}", "declination, rad", declination_rad(day), 0.120, 5e-4)
    published(f"{FAO}, example 8, {OPEN_TESTS}", "sunset angle, rad", sunset_angle_rad(-20, day), 1.527, 5e-4)
    published(f"{FAO}, example 8, {OPEN_TESTS}", "Ra, MJ", extraterrestrial_radiation_mj(-20, day), 32.2, 0.05)
    published(f"{FAO}, example 9, {OPEN_TESTS}", "day length, h", day_length_h(-20, day), 11.7, 0.05)


@pytest.mark.parametrize(
    ("latitude_deg", "day", "ra_mj", "hours"),
    [
        (-60, 15, 41.4339, 17.6319),
        (-60, 172, 1.9828, 5.5127),
        (-20, 246, 32.1940, 11.6656),
        (0, 80, 37.8242, 12.0),
        (13.73, 355, 29.0302, 11.1895),
        (38, 172, 41.8020, 14.6392),
        (45.72, 80, 26.1842, 11.9588),
        (50.8, 355, 6.9785, 7.7197),
        (66, 172, 41.5622, 22.2383),
        (66, 355, 0.0590, 1.7631),
        (80, 172, 44.7448, 24.0),
        (80, 355, 0.0, 0.0),
    ],
)
def test_sun_from_pole_to_pole(published: Check, latitude_deg: float, day: int, ra_mj: float, hours: float) -> None:
    case = f"latitude {latitude_deg}, day {day}"

    published(PYET, f"Ra at {case}, MJ", extraterrestrial_radiation_mj(latitude_deg, day), ra_mj, 5e-5)
    published(PYET, f"day length at {case}, h", day_length_h(latitude_deg, day), hours, 5e-5)


def test_sun_that_reaches_the_ground(published: Check) -> None:
    published(
        f"{FAO}, example 10, {OPEN_TESTS}",
        "Rs from 7.1 of 10.9 h, MJ",
        solar_from_sunshine_mj(25.1, 7.1, 10.9),
        14.45,
        0.05,
    )
    published(
        f"{FAO}, example 15, {OPEN_TESTS}",
        "Rs from temperature, MJ",
        solar_from_temperature_mj(40.6, 14.8, 26.6),
        22.3,
        0.05,
    )
    published(f"{FAO}, example 18, {OPEN_TESTS}", "Rso at 100 m, MJ", clear_sky_radiation_mj(41.09, 100), 30.90, 5e-3)


def test_air_and_vapour(published: Check) -> None:
    lyon, uccle = f"{FAO}, example 20, {OPEN_TESTS}", f"{FAO}, example 5, {OPEN_TESTS}"

    published(f"{FAO}, example 2, {OPEN_TESTS}", "pressure at 1800 m, kPa", air_pressure_kpa(1800), 81.8, 0.05)
    published(f"{FAO}, example 2, {OPEN_TESTS}", "gamma, kPa/°C", psychrometric_kpa_per_c(81.8), 0.054, 5e-4)
    published(f"{FAO}, example 3, {OPEN_TESTS}", "e at 24.5 °C, kPa", saturation_vapour_pressure_kpa(24.5), 3.075, 1e-3)
    published(f"{FAO}, example 17, {OPEN_TESTS}", "slope at 30.2 °C", saturation_slope_kpa_per_c(30.2), 0.246, 5e-4)
    published(lyon, "vapour from the lowest temperature, kPa", saturation_vapour_pressure_kpa(14.8), 1.68, 5e-3)
    published(uccle, "vapour at 68 % mean humidity, kPa", humid_vapour_pressure_kpa(18, 25, 68), 1.78, 5e-3)


def test_penman_monteith_of_a_month(published: Check) -> None:
    """Example 17: Bangkok, April, step by step."""
    source = f"{FAO}, example 17, {MONTHLY}"
    ra = extraterrestrial_radiation_mj(13 + 44 / 60, MID_APRIL)
    hours = day_length_h(13 + 44 / 60, MID_APRIL)
    rs = solar_from_sunshine_mj(ra, 8.5, hours)
    rn = net_radiation_mj(rs, clear_sky_radiation_mj(ra, 2), 25.6, 34.8, 2.85)

    published(source, "Ra, MJ", ra, 38.06, 5e-3)
    published(source, "day length, h", hours, 12.31, 5e-3)
    published(source, "Rs, MJ", rs, 22.65, 5e-3)
    published(source, "Rn, MJ", rn, 14.33, 5e-3)
    published(source, "ETo, mm/d", penman_monteith_mm(25.6, 34.8, rn, 2.85, 2, 2, soil_heat_mj=0.14), 5.72, 5e-3)


def test_penman_monteith_of_a_day(published: Check) -> None:
    """Example 18: Uccle, 6 July, from hours of sun, vapour pressure and wind."""
    source = f"{FAO}, example 18, {OPEN_TESTS}"
    ra = extraterrestrial_radiation_mj(50.8, SIXTH_OF_JULY)
    rs = solar_from_sunshine_mj(ra, 9.25, day_length_h(50.8, SIXTH_OF_JULY))
    rn = net_radiation_mj(rs, clear_sky_radiation_mj(ra, 100), 12.3, 21.5, 1.409)

    published(source, "Ra, MJ", ra, 41.09, 5e-3)
    published(source, "Rs, MJ", rs, 22.07, 5e-3)
    published(source, "Rn, MJ", rn, 13.28, 5e-3)
    published(source, "ETo, mm/d", penman_monteith_mm(12.3, 21.5, rn, 1.409, 2.078, 100), 3.9, 0.05)


def test_evapotranspiration_from_temperatures_alone(published: Check) -> None:
    """Example 20: Lyon, July, where only temperatures are known; altitude 200 m from memory."""
    source = f"{FAO}, example 20, {COPY}"
    ra, low, high = 40.6, 14.8, 26.6
    vapour = saturation_vapour_pressure_kpa(low)
    rs = solar_from_temperature_mj(ra, low, high)
    rn = net_radiation_mj(rs, clear_sky_radiation_mj(ra, 200), low, high, vapour)

    published(source, "Penman-Monteith, mm/d", penman_monteith_mm(low, high, rn, vapour, 2, 200), 4.6, 0.05)


@pytest.mark.parametrize(
    ("on", "place", "low", "high", "solar_mj", "wind", "humidity", "expected"),
    [
        (date(2023, 7, 6), Place(50.8, 100), 12.3, 21.5, 22.07, 2.078, 73.5, 3.78731),
        (date(2023, 4, 15), Place(13.73, 2), 25.6, 34.8, 22.65, 2.0, 60, 5.90479),
        (date(2023, 1, 10), Place(40, 300), -8, 3, 8.5, 3.1, 70, 0.81064),
        (date(2023, 6, 30), Place(38, 20), 14, 35, 29, 1.2, 45, 6.23099),
        (date(2023, 10, 5), Place(-33, 700), 9, 24, 20, 4.4, 55, 4.83104),
    ],
)
def test_a_day_of_a_full_station(
    published: Check,
    on: date,
    place: Place,
    low: float,
    high: float,
    solar_mj: float,
    wind: float,
    humidity: float,
    expected: float,
) -> None:
    """The library's own psychrometric constant follows the temperature, which moves the result by under 1 %."""
    day = DayWeather(on, t_min_c=low, t_max_c=high, humidity_pct=humidity, wind_m_per_s=wind, solar_mj=solar_mj)

    got = eto_mm(day, place)

    assert got is not None
    published(
        f"{PYET} (pm_fao56)", f"ETo at latitude {place.latitude_deg} on {on}, mm/d", got, expected, 0.01 * expected
    )
