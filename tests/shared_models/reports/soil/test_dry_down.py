"""When a wet bed will be fit: what it goes by, and what it cannot be told without."""

from datetime import date, datetime, timedelta

import pytest

from shared_models.core.vocabulary import Feel, Texture
from shared_models.reports.common.filters import Filters
from shared_models.reports.soil.dry_down import Lacking, Outlook
from shared_models.reports.soil.history import SoilHistory, soil_history
from shared_models.trade.soil.drydown import fit_again
from shared_models.trade.weather.weather import DayWeather, Place
from tests.shared_models.reports.support.farmbook import DAY, HandDay

HERE = Place(42.6)


@pytest.fixture
def wet(hand_day: HandDay) -> HandDay:
    """Bed 2 is felt wet at 8:00; the weather of three days before is noted, not yet that of today."""
    book = hand_day.book
    book.farm(latitude=42.6, longitude=-73.7)
    book.change("bed", hand_day.south, texture="medium")
    book.add("soil_check", bed=hand_day.south, at=hand_day.later(8).isoformat(), feel="wet")
    for ago in (1, 2, 3):
        book.add("weather", on=str(DAY - timedelta(days=ago)), rain_mm=9.0, t_min_c=8.0, t_max_c=19.0)
    return hand_day


def history(day: HandDay, now: datetime | None = None, filters: Filters | None = None) -> SoilHistory:
    with day.book.reports() as reports:
        return soil_history(reports, now or day.later(20), filters or Filters())


def outlook(day: HandDay, now: datetime | None = None) -> Outlook | None:
    return history(day, now).outlooks.get(day.south)


def test_a_wet_bed_dries_as_the_week_before_did_where_no_day_since_is_noted(wet: HandDay) -> None:
    result = outlook(wet)

    assert result is not None
    assert (result.checked_on, result.lacking, result.known_days, result.dry_days) == (DAY, None, 0, 1)
    assert result.window is not None
    assert result.window.earliest is not None
    assert result.window.likely is not None
    assert DAY <= result.window.earliest <= result.window.likely
    assert result.days[0].on == DAY
    assert result.days[0].likely > result.fit_below


def test_the_days_since_count_with_their_own_weather(wet: HandDay) -> None:
    """The same answer as the calculation gives for the same days, rain of the second day included."""
    for ahead, rain in ((0, 0.0), (1, 14.0), (2, 0.0)):
        wet.book.add("weather", on=str(DAY + timedelta(days=ahead)), rain_mm=rain, t_min_c=9.0, t_max_c=21.0)
    noted = [
        DayWeather(DAY + timedelta(days=ahead), rain_mm=rain, t_min_c=9.0, t_max_c=21.0)
        for ahead, rain in ((0, 0.0), (1, 14.0), (2, 0.0))
    ]

    result = outlook(wet, wet.later(20 + 48))

    assert result is not None
    assert result.window == fit_again(noted, Texture.MEDIUM, Feel.WET, HERE)
    assert (result.known_days, result.dry_days) == (3, 0)


@pytest.mark.parametrize("days", [-1, 367])
def test_a_check_of_long_ago_or_of_days_to_come_says_nothing_of_now(wet: HandDay, days: int) -> None:
    """A clock that was wrong by a thousand years would else dry the bed day by day since."""
    assert outlook(wet, wet.later(20 + 24 * days)) is None


def test_a_look_after_noon_starts_the_day_after(wet: HandDay) -> None:
    wet.book.add("soil_check", bed=wet.south, at=wet.later(16).isoformat(), feel="wet")

    result = outlook(wet)

    assert result is not None
    assert (result.checked_on, result.days[0].on, result.dry_days) == (DAY, DAY + timedelta(days=1), 0)


def test_a_bed_that_is_not_too_wet_has_no_outlook(wet: HandDay) -> None:
    wet.book.add("soil_check", bed=wet.south, at=wet.later(9).isoformat(), feel="moist")

    assert outlook(wet) is None


@pytest.mark.parametrize("lacking", Lacking)
def test_what_is_lacking_is_reported(wet: HandDay, lacking: Lacking) -> None:
    book = wet.book
    if lacking is Lacking.TEXTURE:
        book.change("bed", wet.south, texture=None)
    elif lacking is Lacking.POSITION:
        book.farm(latitude=None, longitude=None)
    now = wet.later(20)
    if lacking is Lacking.TEMPERATURES:
        later = wet.later(8 + 30 * 24)
        book.add("soil_check", bed=wet.south, at=later.isoformat(), feel="wet")
        now = later + timedelta(hours=1)

    result = outlook(wet, now)

    assert result is not None
    assert (result.lacking, result.window, result.days) == (lacking, None, ())


def test_a_beds_own_position_goes_before_the_farms(wet: HandDay) -> None:
    wet.book.farm(latitude=None, longitude=None)
    wet.book.change("bed", wet.south, latitude=42.0, longitude=-73.0)

    result = outlook(wet)

    assert result is not None
    assert result.lacking is None


def test_the_history_holds_looks_plantings_and_water_of_the_days_asked_about(wet: HandDay) -> None:
    result = history(wet, filters=Filters(since=DAY - timedelta(days=2), until=DAY))

    assert [(bed.bed, len(bed.checks)) for bed in result.beds] == [("Bed 1 (North)", 0), ("Bed 2", 1)]
    assert result.planted == {wet.north: (DAY,), wet.south: (DAY,)}
    assert result.water_mm == {DAY - timedelta(days=2): 9.0, DAY - timedelta(days=1): 9.0}
    assert (result.first, result.last) == (DAY - timedelta(days=2), DAY)


def test_days_long_past_do_not_reach_until_today(wet: HandDay) -> None:
    result = history(wet, filters=Filters(since=date(2026, 5, 1), until=date(2026, 5, 2)))

    assert (result.first, result.last) == (date(2026, 5, 1), date(2026, 5, 2))
    assert result.outlooks.keys() == {wet.south}
