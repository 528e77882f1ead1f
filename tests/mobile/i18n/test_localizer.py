"""Numbers, lengths and times as people here say them."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from mobile.i18n.localizer import Localizer
from shared_models.core.vocabulary import LengthUnits

ENGLISH = Localizer("en", LengthUnits.FEET, ZoneInfo("America/New_York"))
SPANISH = Localizer("es", LengthUnits.METRES, ZoneInfo("Europe/Madrid"))
MEXICAN = Localizer("es", LengthUnits.METRES, ZoneInfo("America/Mexico_City"))
TODAY = date(2026, 5, 14)
EVENING = datetime(2026, 5, 14, 22, 5, tzinfo=UTC)


@pytest.mark.parametrize(
    ("value", "digits", "english", "spanish", "mexican"),
    [
        (0, 0, "0", "0", "0"),
        (12.5, 1, "12.5", "12,5", "12.5"),
        (30.0, 1, "30", "30", "30"),
        (6000, 0, "6,000", "6.000", "6,000"),
        (1234567.891, 2, "1,234,567.89", "1.234.567,89", "1,234,567.89"),
        (-3.25, 2, "−3.25", "−3,25", "−3.25"),
        (-0.001, 1, "0", "0", "0"),
    ],
)
def test_numbers(value: float, digits: int, english: str, spanish: str, mexican: str) -> None:
    figures = tuple(localizer.number(value, digits) for localizer in (ENGLISH, SPANISH, MEXICAN))

    assert figures == (english, spanish, mexican)


@pytest.mark.parametrize(("value", "expected"), [(1.0, "100%"), (0.954, "95%"), (0.9987, "99.8%"), (0.0, "0%")])
def test_a_share_that_is_not_all_never_reads_as_all(value: float, expected: str) -> None:
    assert ENGLISH.percent(value) == expected


def test_lengths() -> None:
    assert (ENGLISH.length(30_480), SPANISH.length(30_480)) == ("100 ft", "30,5 m")
    assert (ENGLISH.length(2_896), SPANISH.length(900)) == ("9.5 ft", "0,9 m")
    assert (ENGLISH.spacing(50.8), SPANISH.spacing(50.8)) == ("2 in", "5,1 cm")
    assert (ENGLISH.rate(200_000), SPANISH.rate(200_000)) == ("656 ft/h", "200 m/h")
    assert (ENGLISH.rate(None), ENGLISH.fixed(None)) == ("– ft/h", "–")


def test_the_time_of_day_is_the_farms() -> None:
    assert (ENGLISH.clock(EVENING), SPANISH.clock(EVENING)) == ("6:05\xa0PM", "0:05")
    assert ENGLISH.clock(datetime(2026, 5, 14, 4, 5, tzinfo=UTC)) == "12:05\xa0AM"
    assert MEXICAN.clock(EVENING, seconds=True) == "4:05:00\N{NO-BREAK SPACE}p.m."


@pytest.mark.parametrize(
    ("day", "english", "spanish"),
    [
        (date(2026, 5, 13), "yesterday", "ayer"),
        (date(2026, 5, 14), "today", "hoy"),
        (date(2026, 5, 15), "tomorrow", "mañana"),
        (date(2026, 4, 3), "Apr 3", "3 abr"),
    ],
)
def test_days(day: date, english: str, spanish: str) -> None:
    assert (ENGLISH.day(day, TODAY), SPANISH.day(day, TODAY)) == (english, spanish)


def test_a_moment_names_its_day_unless_it_is_today() -> None:
    assert ENGLISH.moment(EVENING, EVENING) == "6:05\xa0PM"
    assert ENGLISH.moment(datetime(2026, 5, 13, 4, 5, tzinfo=UTC), EVENING) == "yesterday, 12:05\xa0AM"


@pytest.mark.parametrize(
    ("seconds", "expected"), [(0, "0:00"), (252.9, "4:12"), (3599, "59:59"), (3661, "1:01:01"), (-5, "0:00")]
)
def test_the_stopwatch(seconds: float, expected: str) -> None:
    assert ENGLISH.stopwatch(seconds) == expected


@pytest.mark.parametrize(
    ("seconds", "expected"),
    [
        (-5, "0 s"),
        (0, "0 s"),
        (45, "45 s"),
        (60, "1 min"),
        (398.9, "6 min 38 s"),
        (600, "10 min"),
        (992, "17 min"),
        (3580, "1 h"),
        (4360, "1 h 13 min"),
    ],
)
def test_what_is_over_is_told_with_its_units(seconds: float, expected: str) -> None:
    assert (ENGLISH.duration(seconds), SPANISH.duration(seconds)) == (expected, expected)


def test_a_large_crew_is_named_as_far_as_there_is_room() -> None:
    names = ["Maria de los Angeles", "Ines", "June", "Tomas"]

    assert ENGLISH.crew(names[1:], 20) == "Ines, June, Tomas"
    assert ENGLISH.crew(names, 26) == "Maria de los Angeles, Ines and 2 more"
    assert SPANISH.crew(names, 5) == "Maria de los Angeles y 3 más"


@pytest.mark.parametrize(
    ("hours", "english", "spanish"),
    [(0.2, "1 hour", "1 hora"), (14.4, "14 hours", "14 horas"), (47, "47 hours", "47 horas"), (71, "3 days", "3 días")],
)
def test_about_how_long(hours: float, english: str, spanish: str) -> None:
    assert (ENGLISH.span(hours), SPANISH.span(hours)) == (english, spanish)


def test_a_crew_by_name() -> None:
    assert (ENGLISH.people(["Ines", "June"]), ENGLISH.people([])) == ("Ines, June", "no crew entered")


def test_a_day_of_another_year_is_told_with_its_year() -> None:
    last_spring = date(2025, 5, 14)

    assert ENGLISH.day(last_spring, TODAY) == "May 14, 2025"
    assert SPANISH.day(last_spring, TODAY) == "14 may 2025"
    assert ENGLISH.day(date(2026, 3, 2), TODAY) == "Mar 2"


def test_a_sentence_that_ends_with_the_time_has_one_period() -> None:
    evening = datetime(2026, 5, 14, 3, 41, tzinfo=UTC)

    said = MEXICAN.t("Last synced: {when}.", when=MEXICAN.clock(evening))

    assert said.endswith("p.m.")
    assert not said.endswith("..")
