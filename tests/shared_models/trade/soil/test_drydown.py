from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from math import nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.vocabulary import Feel, Texture
from shared_models.errors import BadQuantity
from shared_models.trade.soil.drydown import (
    FitWindow,
    Ground,
    dry_day,
    dry_down,
    fit_again,
    moisture_ahead,
)
from shared_models.trade.soil.evaporation import SurfaceSoil
from shared_models.trade.soil.feel import available_water
from shared_models.trade.weather.weather import DayWeather, Place

FARM = Place(42.5)
MONDAY = date(2024, 5, 6)
SOIL = SurfaceSoil(8, 18)


def week(*etos: float, rain_mm: dict[int, float] | None = None) -> list[DayWeather]:
    """Days from Monday on with the evapotranspiration given, and rain by number of the day."""
    rain = rain_mm or {}
    return [
        DayWeather(MONDAY + timedelta(days=number), rain_mm=rain.get(number, 0), eto_mm=eto)
        for number, eto in enumerate(etos)
    ]


def days_until(on: date | None) -> int | None:
    return None if on is None else (on - MONDAY).days


weather = st.lists(st.tuples(st.floats(0, 8), st.just(0.0) | st.floats(0, 40)), min_size=1, max_size=10).map(
    lambda days: week(*(eto for eto, _ in days), rain_mm={number: rain for number, (_, rain) in enumerate(days)})
)


@given(weather, st.floats(0, 18), st.floats(0.2, 1), st.floats(0.2, 1), st.floats(0, 1))
def test_no_water_is_lost_in_the_balance(
    days: list[DayWeather], start_mm: float, wetted: float, share: float, kcb: float
) -> None:
    """Rain = what drained + what evaporated + what the soil lacks less than before, in the part that dries."""
    ground = Ground(kcb=kcb, wetted=wetted, exposed=wetted * share)

    states = dry_down(days, SOIL, start_mm, FARM, ground)

    rain = sum(day.rain_mm for day in days)
    drained = sum(state.drained_mm for state in states)
    evaporated = sum(state.evaporation_mm for state in states) / ground.exposed
    assert rain == pytest.approx(drained + evaporated + start_mm - states[-1].depletion_end_mm, abs=1e-6)


@given(weather, st.floats(0, 18))
def test_the_store_stays_between_full_and_dry(days: list[DayWeather], start_mm: float) -> None:
    for state in dry_down(days, SOIL, start_mm, FARM):
        assert 0 <= state.depletion_start_mm <= state.depletion_end_mm <= SOIL.tew_mm
        assert 0 <= state.kr <= 1
        assert state.evaporation_mm >= 0


@given(weather, st.floats(0, 18))
def test_each_morning_goes_on_from_the_evening_before(days: list[DayWeather], start_mm: float) -> None:
    states = dry_down(days, SOIL, start_mm, FARM)

    for (before, after), day in zip(pairwise(states), days[1:], strict=True):
        assert after.depletion_start_mm == max(0, before.depletion_end_mm - day.rain_mm)


def test_a_wet_bare_bed_dries_a_fifth_faster_than_grass_takes_water() -> None:
    state = dry_day(week(5)[0], 5, SOIL, 0)

    assert state.depletion_end_mm == pytest.approx(6)
    assert state.eto_mm == 5


def test_a_bed_dries_in_two_stages() -> None:
    """First a steady 4.8 mm a day, then less each day."""
    states = dry_down(week(*[4] * 12), SOIL, 0, FARM)
    losses = [state.evaporation_mm for state in states]

    assert losses[:2] == pytest.approx([4.8, 4.8])
    assert all(later < earlier for earlier, later in pairwise(losses[1:]))
    assert states[-1].depletion_end_mm < SOIL.tew_mm


def test_irrigation_of_part_of_the_ground_wets_that_part_more() -> None:
    day = replace(week(0)[0], irrigation_mm=4)

    assert dry_day(day, 0, SOIL, 10, Ground(wetted=0.5, exposed=0.5)).depletion_start_mm == 2


def test_a_crop_takes_its_share_before_the_ground_does() -> None:
    assert dry_day(week(5)[0], 5, SOIL, 0, Ground(kcb=0.5)).ke == pytest.approx(0.7)


def test_evaporation_from_a_small_wet_part_is_limited_by_its_size() -> None:
    assert dry_day(week(5)[0], 5, SOIL, 0, Ground(wetted=0.3, exposed=0.3)).ke == pytest.approx(0.36)


def test_a_fit_bed_is_fit_today() -> None:
    assert fit_again(week(4), Texture.MEDIUM, Feel.MOIST, FARM) == FitWindow(MONDAY, MONDAY, MONDAY)


def test_a_wet_loam_is_fit_within_days_of_dry_weather() -> None:
    window = fit_again(week(3), Texture.MEDIUM, Feel.WET, FARM)

    assert (days_until(window.earliest), days_until(window.likely), days_until(window.latest)) == (0, 1, 2)


def test_a_soaked_clay_drains_before_it_is_fit() -> None:
    window = fit_again(week(7), Texture.FINE, Feel.FIELD_CAPACITY, FARM)

    assert (days_until(window.earliest), days_until(window.likely), days_until(window.latest)) == (1, 2, 3)


def test_rain_ahead_puts_the_bed_back() -> None:
    dry = fit_again(week(3, 3, 3, 3), Texture.MEDIUM, Feel.FIELD_CAPACITY, FARM)
    rainy = fit_again(week(3, 3, 3, 3, rain_mm={1: 25}), Texture.MEDIUM, Feel.FIELD_CAPACITY, FARM)

    assert dry.latest is not None
    assert rainy.latest is not None
    assert rainy.latest > dry.latest


def test_sand_that_may_be_wet_waits_only_for_the_draining() -> None:
    window = fit_again(week(2, rain_mm={0: 20}), Texture.COARSE, Feel.DRY, FARM, wettest_fit=Feel.WET)

    assert days_until(window.likely) == 1


def test_without_drying_a_wet_bed_is_not_fit_as_far_as_can_be_seen() -> None:
    assert fit_again(week(0), Texture.FINE, Feel.FIELD_CAPACITY, FARM) == FitWindow(None, None, None)


def test_a_bed_that_may_dry_in_time_or_not_has_an_open_end() -> None:
    window = fit_again(week(0.1), Texture.FINE, Feel.FIELD_CAPACITY, FARM)

    assert window.earliest is not None
    assert window.latest is None


@given(weather, st.sampled_from(Texture), st.sampled_from(Feel))
def test_the_window_is_in_order(days: list[DayWeather], texture: Texture, felt: Feel) -> None:
    window = fit_again(days, texture, felt, FARM)

    if window.likely:
        assert window.earliest is not None
        assert window.earliest <= window.likely
    if window.latest:
        assert window.likely is not None
        assert window.likely <= window.latest


@given(weather, st.sampled_from(Texture), st.sampled_from(Feel))
def test_less_doubt_about_the_weather_never_widens_the_window(
    days: list[DayWeather], texture: Texture, felt: Feel
) -> None:
    sure, unsure = (fit_again(days, texture, felt, FARM, eto_error=error) for error in (0.0, 0.3))

    assert unsure.likely == sure.likely
    assert (unsure.earliest or date.max) <= (sure.earliest or date.max)
    assert (sure.latest or date.max) <= (unsure.latest or date.max)


@given(st.floats(0.5, 8), st.sampled_from(Texture))
def test_a_wetter_bed_is_fit_no_sooner(eto: float, texture: Texture) -> None:
    windows = [fit_again(week(eto), texture, felt, FARM) for felt in Feel]

    for drier, wetter in pairwise(windows):
        assert (drier.likely or date.max) <= (wetter.likely or date.max)
        assert (drier.latest or date.max) <= (wetter.latest or date.max)


def test_the_water_ahead_falls_below_the_limit_in_the_window() -> None:
    """On a drained soil, the likely day is the first on which the line is below the wet end of what is fit."""
    days = week(4, 4, 4)
    window = fit_again(days, Texture.MEDIUM, Feel.WET, FARM)
    limit = available_water(Feel.MOIST).high + 1e-9

    ahead = moisture_ahead(days, Texture.MEDIUM, Feel.WET, FARM)

    assert next(day.on for day in ahead if day.likely <= limit) == window.likely
    assert next(day.on for day in ahead if day.least <= limit) == window.earliest
    assert next(day.on for day in ahead if day.most <= limit) == window.latest
    assert len(ahead) == 3 + 30


def test_after_the_last_day_the_weather_goes_on_like_the_mean_of_the_days() -> None:
    ahead = moisture_ahead(week(2, 6), Texture.MEDIUM, Feel.WET, FARM)

    assert ahead[:12] == moisture_ahead(week(2, 6, *[4] * 10), Texture.MEDIUM, Feel.WET, FARM)[:12]


def test_days_that_tell_their_temperatures_dry_the_bed_by_where_the_farm_lies() -> None:
    warm = [DayWeather(MONDAY, t_min_c=8, t_max_c=24)]

    south, north = (moisture_ahead(warm, Texture.MEDIUM, Feel.WET, Place(latitude)) for latitude in (20, 70))

    assert south[1].likely < north[1].likely


def test_rain_fills_the_store_again() -> None:
    ahead = moisture_ahead(week(4, 4, 4, rain_mm={2: 40}), Texture.MEDIUM, Feel.MOIST, FARM)

    assert (ahead[2].least, ahead[2].likely, ahead[2].most) == (1.0, 1.0, 1.0)
    assert ahead[1].likely < ahead[0].likely


@given(weather, st.sampled_from(Texture), st.sampled_from(Feel))
def test_the_range_holds_the_likely_line(days: list[DayWeather], texture: Texture, felt: Feel) -> None:
    assert all(0 <= day.least <= day.likely <= day.most <= 1 for day in moisture_ahead(days, texture, felt, FARM))


@pytest.mark.parametrize(
    "refused",
    [
        lambda: dry_day(week(5)[0], -1, SOIL, 0),
        lambda: dry_day(week(5)[0], 5, SOIL, 19),
        lambda: dry_day(week(5)[0], 5, SOIL, nan),
        lambda: dry_down(week(5, 5)[::-1], SOIL, 0, FARM),
        lambda: dry_down(week(5, 5, 5)[::2], SOIL, 0, FARM),
        lambda: dry_down(week(5), SOIL, 0, FARM, eto_factor=-1),
        lambda: fit_again([], Texture.FINE, Feel.WET, FARM),
        lambda: fit_again([DayWeather(MONDAY)], Texture.FINE, Feel.WET, FARM),
        lambda: fit_again(week(5), Texture.FINE, Feel.WET, FARM, eto_error=1.5),
        lambda: Ground(kcb=1.3),
        lambda: Ground(wetted=0),
        lambda: Ground(exposed=1.1),
        lambda: Ground(kc_max=0),
    ],
)
def test_impossible_drying_is_refused(refused: Callable[[], object]) -> None:
    with pytest.raises(BadQuantity):
        refused()
