"""What people type into forms, and what is kept of it."""

from typing import Any
from zoneinfo import ZoneInfo

import pytest

from server.office.forms.field_kinds import FieldKind, Written, count, figure, share
from server.office.forms.field_kinds_dates import AtTime, OnDay
from server.office.forms.field_kinds_refs import OnTape
from server.office.forms.fields import field_kind
from server.office.forms.names import RecordNames
from server.office.forms.parse_numbers import FieldError, number_in
from server.render.localizer import Localizer
from shared_models.core.vocabulary import LengthUnits
from shared_models.reports.audit.entries import Names

NOBODY = Names({}, {}, {}, {})
ZONE = ZoneInfo("America/New_York")
LENGTH, DEPTH = field_kind("bed", "length_mm"), field_kind("row_pass", "depth_mm")
SPACING, WATER = field_kind("sowing", "spacing_mm"), field_kind("weather", "rain_mm")
MONEY, TEMPERATURE = field_kind("person", "wage_per_hour"), field_kind("weather", "t_max_c")
FEET = RecordNames(Localizer("en", LengthUnits.FEET, ZONE), NOBODY)
METRES = RecordNames(Localizer("es", LengthUnits.METRES, ZoneInfo("America/Costa_Rica")), NOBODY)


@pytest.mark.parametrize(
    ("kind", "names", "typed", "kept"),
    [
        (LENGTH, FEET, "100", 30_480),
        (LENGTH, METRES, "30,5", 30_500),
        (LENGTH, FEET, "100 ft", 30_480),
        (LENGTH, FEET, "100' 6\"", 30_632),
        (LENGTH, FEET, "100 ft. 6 in.", 30_632),
        (LENGTH, FEET, "100’ 6 1/2”", 30_645),
        (LENGTH, FEET, "99 1/2", 30_328),
        (LENGTH, FEET, "30 m", 30_000),
        (LENGTH, METRES, "100 pies", 30_480),
        (LENGTH, METRES, "30,5m", 30_500),
        (DEPTH, FEET, "1.25", 32),
        (DEPTH, FEET, '1/2"', 13),
        (SPACING, FEET, "2 in", 50.8),
        (DEPTH, METRES, "30", 30),
        (SPACING, FEET, "2", 50.8),
        (SPACING, METRES, "5", 50),
        (WATER, FEET, "0", 0),
        (WATER, FEET, "0.5", 12.7),
        (TEMPERATURE, FEET, "50", 10),
        (TEMPERATURE, METRES, "-2,5", -2.5),
        (TEMPERATURE, FEET, "50 F", 10),
        (TEMPERATURE, METRES, "10 °C", 10),
        (share(), FEET, "92", 0.92),
        (share(), FEET, "92 %", 0.92),
        (MONEY, FEET, "$20.50", 20.5),
        (MONEY, METRES, "20,50 €", 20.5),
        (count(), FEET, "0", 0),
        (count(), FEET, "1,200", 1200),
        (figure(0, 10), METRES, "2.5", 2.5),
        (OnTape(), FEET, "0 2 4.5", [0, 51, 114]),
        (OnTape(), METRES, "0; 5,5\n4", [0, 40, 55]),
        (OnDay(), FEET, "2026-05-14", "2026-05-14"),
        (OnDay(), FEET, "5/14/2026", "2026-05-14"),
        (OnDay(), METRES, "14/5/2026", "2026-05-14"),
        (AtTime(), FEET, "2026-05-14T08:15", "2026-05-14T12:15:00+00:00"),
        (AtTime(), FEET, "2026-11-01 01:30:10", "2026-11-01T05:30:10+00:00"),
        (Written(), FEET, " as it is", " as it is"),
    ],
)
def test_what_is_typed_is_kept_in_the_units_of_the_log(
    kind: FieldKind, names: RecordNames, typed: str, kept: Any
) -> None:
    assert kind.parse(typed, names) == kept


@pytest.mark.parametrize(
    ("kind", "typed", "told"),
    [
        (LENGTH, "0", "enter a number above 0, 32,808 at most"),
        (LENGTH, "-5", "enter a number above 0"),
        (LENGTH, "100 chains", "enter a number"),
        (LENGTH, "100 6", "enter a number"),
        (LENGTH, "6 in 100 ft", "enter a number"),
        (LENGTH, "1/0", "enter a number"),
        (LENGTH, "ft", "enter a number"),
        (WATER, "-1", "enter a number from 0 to 78"),
        (count(1, 1000), "1001", "enter a number from 1 to 1,000"),
        (count(), "2.5", "enter a whole number"),
        (count(), "nan", "enter a number"),
        (count(), "9" * 30, "enter a number"),
        (share(), "120", "enter a number from 0 to 100"),
        (OnDay(), "14/5/2026", "enter a day like 2026-05-14"),
        (OnDay(), "0001-01-01", "choose a year from 1900 to 2200"),
        (AtTime(), "noon", "enter day and time like"),
        (AtTime(), "2026-05-14T08:15:00+09:00", "enter day and time like"),
        (AtTime(), "2026-03-08T02:30", "clocks moved forward then"),
        (OnTape(), "2 -4", "none below 0"),
        (Written(3), "four", "enter at most 3 letters"),
        (field_kind("bed", "texture"), "mud", "choose one from the list"),
        (field_kind("planting", "bed"), "x", "choose one from the list"),
        (field_kind("bed", "retired"), "perhaps", "choose one from the list"),
        (field_kind("farm", "zone"), "Mars/Base", "choose one from the list"),
    ],
)
def test_what_cannot_be_kept_is_refused_with_what_to_do(kind: FieldKind, typed: str, told: str) -> None:
    with pytest.raises(FieldError, match=told):
        kind.parse(typed, FEET)


@pytest.mark.parametrize(("names", "typed"), [(FEET, "1.200"), (METRES, "1,200")])
def test_a_point_of_ones_own_language_is_a_point(names: RecordNames, typed: str) -> None:
    assert number_in(typed, names.localizer) == 1.2


def test_a_mark_that_could_part_thousands_is_not_guessed_at() -> None:
    with pytest.raises(FieldError, match="sin signo entre los miles"):
        number_in("1.200", METRES.localizer)


@pytest.mark.parametrize("names", [FEET, METRES], ids=["feet", "metres"])
@pytest.mark.parametrize("mm", [1, 32, 241, 9_999, 30_480, 30_000, 123_457, 9_999_999])
def test_every_length_shows_as_what_would_be_typed_for_it(names: RecordNames, mm: int) -> None:
    assert LENGTH.parse(LENGTH.to_text(mm, names), names) == mm
