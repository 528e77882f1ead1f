from collections.abc import Callable
from math import nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.weather.sun import (
    clear_sky_radiation_mj,
    day_length_h,
    extraterrestrial_radiation_mj,
    solar_from_sunshine_mj,
    solar_from_temperature_mj,
)

latitudes = st.floats(-90, 90)
days = st.integers(1, 366)


@given(latitudes, days)
def test_a_day_has_no_more_than_24_hours_of_sun(latitude_deg: float, day: int) -> None:
    assert 0 <= day_length_h(latitude_deg, day) <= 24
    assert 0 <= extraterrestrial_radiation_mj(latitude_deg, day) < 50


@given(latitudes, days)
def test_north_and_south_share_out_the_24_hours(latitude_deg: float, day: int) -> None:
    assert day_length_h(latitude_deg, day) + day_length_h(-latitude_deg, day) == pytest.approx(24)


@given(latitudes, days)
def test_where_the_sun_stays_down_there_is_no_radiation(latitude_deg: float, day: int) -> None:
    if day_length_h(latitude_deg, day) == 0:
        assert extraterrestrial_radiation_mj(latitude_deg, day) == pytest.approx(0, abs=1e-9)


def test_the_sun_stays_up_all_day_at_the_summer_pole() -> None:
    assert day_length_h(90, 172) == 24
    assert day_length_h(90, 355) == 0


@given(st.floats(0, 45), st.floats(1, 24))
def test_a_day_of_full_sun_is_a_clear_day_at_sea_level(outside_mj: float, length_h: float) -> None:
    assert solar_from_sunshine_mj(outside_mj, length_h, length_h) == pytest.approx(clear_sky_radiation_mj(outside_mj))


@given(st.floats(1, 45), st.floats(-20, 20), st.floats(0, 20), st.floats(0.1, 10))
def test_a_warmer_afternoon_means_more_sun(outside_mj: float, low_c: float, span_c: float, more_c: float) -> None:
    less = solar_from_temperature_mj(outside_mj, low_c, low_c + span_c)

    assert solar_from_temperature_mj(outside_mj, low_c, low_c + span_c + more_c) > less
    assert solar_from_temperature_mj(outside_mj, low_c, low_c + span_c, coastal=True) >= less


def test_in_a_night_of_24_hours_no_sun_reaches_the_ground() -> None:
    assert solar_from_sunshine_mj(0, 0, 0) == 0


@pytest.mark.parametrize(
    "refused",
    [
        lambda: day_length_h(91, 100),
        lambda: day_length_h(nan, 100),
        lambda: day_length_h(45, 0),
        lambda: extraterrestrial_radiation_mj(45, 367),
        lambda: clear_sky_radiation_mj(-1),
        lambda: clear_sky_radiation_mj(40, 20_000),
        lambda: solar_from_sunshine_mj(40, 13, 12),
        lambda: solar_from_temperature_mj(40, 20, 10),
    ],
)
def test_impossible_places_and_days_are_refused(refused: Callable[[], object]) -> None:
    with pytest.raises(BadQuantity):
        refused()
