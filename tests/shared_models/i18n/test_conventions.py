"""Numbers, dates and times are written as Unicode's CLDR has it for the language and the farm's country."""

import json
from datetime import UTC, date, datetime, time
from importlib.resources import files
from zoneinfo import ZoneInfo, available_timezones

import pytest
from babel import dates, numbers

from shared_models.i18n import formats
from shared_models.i18n.conventions import conventions, country_of
from tests.shared_models.i18n.cldr import SERVED, TABLE, table

LOCALES = [(language, country) for language, countries in SERVED.items() for country in countries]
NOON_AND_MORE = [time(0, 5), time(9, 30, 7), time(12), time(23, 59, 59)]
DAYS = [date(2026, month, day) for month in range(1, 13) for day in (1, 28)]
NARROW, USUAL = "\N{NARROW NO-BREAK SPACE}", "\N{NO-BREAK SPACE}"


def test_the_table_is_what_cldr_says() -> None:
    """When Babel brings a newer CLDR: `python -m tests.shared_models.i18n.cldr`."""
    assert json.loads(TABLE.read_text("utf-8")) == table()


@pytest.mark.parametrize(("language", "country"), LOCALES)
def test_numbers_and_percentages_are_written_as_babel_writes_them(language: str, country: str) -> None:
    ours, locale = conventions(language, country), f"{language}_{country}"

    for value in (0, 7, 1.3, 2400, 12400.25, 1234567.875):
        assert formats.number(value, ours, 2, trim=True) == numbers.format_decimal(value, "#,##0.##", locale)
    for share in (0, 0.054, 0.82, 1, 12.5):
        written = numbers.format_percent(share, locale=locale)
        assert formats.percent(share, ours) == written.replace(NARROW, USUAL)


@pytest.mark.parametrize(("language", "country"), LOCALES)
def test_dates_and_times_are_written_as_babel_writes_them(language: str, country: str) -> None:
    ours, locale = conventions(language, country), f"{language}_{country}"

    for day in DAYS:
        assert formats.by_pattern(ours.date, day, ours) == dates.format_skeleton("yMMMd", day, locale=locale)
        assert formats.by_pattern(ours.month_day, day, ours) == dates.format_skeleton("MMMd", day, locale=locale)
        assert formats.by_pattern(ours.full_date, day, ours) == dates.format_date(day, "full", locale)
    for at in NOON_AND_MORE:
        moment = datetime.combine(DAYS[0], at, UTC)
        for pattern, length in ((ours.time, "short"), (ours.time_with_seconds, "medium")):
            written = dates.format_time(moment, length, locale=locale)
            assert formats.by_pattern(pattern, moment, ours) == written.replace(NARROW, USUAL)


@pytest.mark.parametrize(
    ("language", "country", "number"),
    [
        *(("es", country, "2,400.5") for country in ("US", "MX", "GT", "HN", "SV", "NI", "PA")),
        ("es", "ES", "2.400,5"),
        ("es", "CR", "2\N{NO-BREAK SPACE}400,5"),
        ("es", "FR", "2,400.5"),
        ("en", "US", "2,400.5"),
    ],
)
def test_the_country_decides_the_marks(language: str, country: str, number: str) -> None:
    assert formats.number(2400.5, conventions(language, country), 1) == number


@pytest.mark.parametrize(
    ("zone", "country"),
    [
        ("America/New_York", "US"),
        ("America/Phoenix", "US"),
        ("America/Mexico_City", "MX"),
        ("America/Guatemala", "GT"),
        ("America/Toronto", "CA"),
        ("Europe/Madrid", "ES"),
        ("Europe/London", "GB"),
        ("UTC", "US"),
        ("US/Eastern", "US"),
    ],
)
def test_the_country_is_that_of_the_farms_zone(zone: str, country: str) -> None:
    assert country_of(ZoneInfo(zone)) == country


def test_every_zone_has_a_country_to_write_by() -> None:
    assert all(len(country_of(ZoneInfo(zone))) == 2 for zone in available_timezones())


def test_the_zones_of_countries_are_packaged_with_the_zones() -> None:
    """The phone has no such table of its own."""
    assert files("tzdata").joinpath("zoneinfo", "zone.tab").is_file()
