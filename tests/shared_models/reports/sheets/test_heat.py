"""The heat of a day, by the weather noted for it."""

from datetime import timedelta

import pytest

from shared_models.core.vocabulary import LengthUnits
from shared_models.i18n.localizer import Localizer
from shared_models.reports.sheets.heat import DayHeat, day_heat, heat_lines
from shared_models.trade.weather.heat_index import HeatLevel
from tests.shared_models.reports.support.farmbook import DAY, FarmBook, HandDay


def heat(book: FarmBook) -> DayHeat | None:
    with book.reports() as reports:
        return day_heat(reports, DAY)


def test_a_hot_day_tells_its_level_in_the_sun_and_what_to_do(hand_day: HandDay) -> None:
    """90 °F at 70 % is 106 °F on the printed chart; 15 °F more in the sun are above 115 °F."""
    hand_day.book.add("weather", on=str(DAY), t_max_c=32.22, humidity_pct=70)

    found = heat(hand_day.book)

    assert found is not None
    assert (found.caution.level, found.caution.sun_level) == (HeatLevel.HIGH, HeatLevel.VERY_HIGH)
    result, advice, rules, beside = heat_lines(found)
    assert "High of 90 °F at 70% humidity: feels like 106 °F in the shade and up to 121 °F" in result
    assert "OSHA risk level in the sun: very high" in result
    assert advice.startswith("Stop work that can wait")
    assert "Local rules" in rules
    assert "another hour" in beside
    assert "32.2 °C" in heat_lines(found, Localizer(units=LengthUnits.METRES))[0]


@pytest.mark.parametrize(
    "weather",
    [
        {"t_max_c": 34.0},
        {"humidity_pct": 80},
        {"t_max_c": 12.0, "humidity_pct": 60},
        {"t_max_c": 69.0, "humidity_pct": 60},
        {},
    ],
)
def test_weather_that_is_not_told_or_not_warm_says_nothing(hand_day: HandDay, weather: dict[str, float]) -> None:
    hand_day.book.add("weather", on=str(DAY), rain_mm=0.0, **weather)

    assert heat(hand_day.book) is None


def test_of_two_notes_the_hotter_counts_and_other_days_do_not(hand_day: HandDay) -> None:
    book = hand_day.book
    for air_c in (28.0, 31.0):
        book.add("weather", on=str(DAY), t_max_c=air_c, humidity_pct=50)
    book.add("weather", on=str(DAY + timedelta(days=1)), t_max_c=38.0, humidity_pct=50)
    deleted = book.add("weather", on=str(DAY), t_max_c=37.0, humidity_pct=50)
    book.change("weather", deleted, voided=True)

    found = heat(book)

    assert found is not None
    assert found.air_c == 31.0
