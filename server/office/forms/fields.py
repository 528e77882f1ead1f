"""What each kind of record tells, in the order of its form, and which rule stands beside which field."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from zoneinfo import available_timezones

from server.office.forms.field_kinds import (
    DEPTH,
    LENGTH,
    MONEY,
    PERCENT,
    SHARE,
    SPACING,
    WATER,
    WIDTH,
    Chosen,
    Counted,
    FieldKind,
    Figure,
    Warmth,
    Written,
    YesNo,
)
from server.office.forms.field_kinds_dates import AtTime, OnDay, RowTime
from server.office.forms.field_kinds_refs import Crew, InBed, InPlanting, OfSowing, OnTape, Stops
from server.office.forms.names import RecordNames
from server.office.forms.parse_numbers import FieldError
from server.office.shell.view import Choice
from shared_models.core.vocabulary import Role
from shared_models.i18n.labels import AMOUNTS, FEELS, ROLES, TEXTURES, UNITS
from shared_models.reports.audit.retiming import ENDED, STARTED

#: kinds that only an owner changes; the others are a grower's
OWNERS_KINDS = frozenset({"person"})


@dataclass(frozen=True, slots=True)
class Field:
    """One thing that a record tells: the stored `name`, what people call it, and how it is filled in."""

    name: str
    label: str
    way: FieldKind
    needed: bool = False
    hint: str = ""
    #: for the owner's eyes; it stands in the log that no phone gets
    private: bool = False


class Zone(FieldKind):
    """A time zone of the IANA list."""

    control = "select"

    def choices(self, value: Any, words: RecordNames) -> Iterable[Choice]:  # noqa: ARG002 - as every way has it
        """Each of them."""
        return (Choice(zone, zone, zone == value) for zone in sorted({*available_timezones(), str(value or "UTC")}))

    def read(self, typed: str, words: RecordNames) -> Any:
        """One of them."""
        if typed not in available_timezones():
            raise FieldError(words.localizer.t("choose one of the list"))
        return typed


LATITUDE = Figure(-90, 90, "°")
LONGITUDE = Figure(-180, 180, "°")
ACCURACY = Figure(0, 100_000, "m")
ROW_NUMBER = Counted(1, 1000)
NAME, WORDS, NOTE = Written(), Written(), Written(4000)

FIELDS: Mapping[str, tuple[Field, ...]] = {
    "row_pass": (
        Field("planting", "Planting", InPlanting(), needed=True),
        Field("row", "Row", ROW_NUMBER, needed=True),
        Field("started_at", "Start", RowTime(STARTED), needed=True),
        Field("ended_at", "End", RowTime(ENDED)),
        Field("length_mm", "Length", LENGTH, needed=True),
        Field("crew", "Crew", Crew()),
        Field("misses", "Misses", Counted()),
        Field("filled", "Filled", Counted()),
        Field("doubles", "Doubles", Counted()),
        Field("stops", "Stops", Stops()),
        Field("depth_notch", "Depth notch", Counted()),
        Field("depth_mm", "Measured depth", DEPTH),
        Field("note", "Note", NOTE),
        Field("start_latitude", "Start: latitude", LATITUDE),
        Field("start_longitude", "Start: longitude", LONGITUDE),
        Field("start_accuracy_m", "Start: good to", ACCURACY),
        Field("end_latitude", "End: latitude", LATITUDE),
        Field("end_longitude", "End: longitude", LONGITUDE),
        Field("end_accuracy_m", "End: good to", ACCURACY),
    ),
    "soil_check": (
        Field("bed", "Bed", InBed(), needed=True),
        Field("at", "Looked at", AtTime(), needed=True),
        Field("feel", "Feel", Chosen(FEELS)),
        Field("residue_pct", "Residue", PERCENT),
        Field("stones", "Stones", Chosen(AMOUNTS)),
        Field("clods", "Clods", Chosen(AMOUNTS)),
        Field("tilled_at", "Tilled", AtTime()),
        Field("soil_c", "Soil temperature", Warmth()),
        Field("photo", "Picture", WORDS, hint="Its name on the phone."),
        Field("note", "Note", NOTE),
    ),
    "stand_count": (
        Field("planting", "Planting", InPlanting(), needed=True),
        Field("row", "Row", ROW_NUMBER, needed=True),
        Field("at", "Counted at", AtTime(), needed=True),
        Field("sample_length_mm", "Length counted", LENGTH, needed=True),
        Field("plants", "Plants", Counted(), needed=True),
        Field("positions_mm", "Places on the tape", OnTape()),
        Field("note", "Note", NOTE),
    ),
    "tray_check": (
        Field("sowing", "Sowing", OfSowing(), needed=True),
        Field("on", "Day", OnDay(), needed=True),
        Field("cells_seen", "Cells looked at", Counted(), needed=True),
        Field("cells_empty", "Empty", Counted(), needed=True),
        Field("leaves", "Leaves", Counted()),
        Field("roots_hold", "Roots hold", YesNo()),
        Field("note", "Note", NOTE),
    ),
    "planting": (
        Field("bed", "Bed", InBed(), needed=True),
        Field("sowing", "Sowing", OfSowing(), needed=True),
        Field("planned_on", "Planned for", OnDay()),
        Field("note", "Note", NOTE),
    ),
    "sowing": (
        Field("crop", "Crop", NAME, needed=True),
        Field("variety", "Variety", WORDS),
        Field("code", "Code", WORDS, hint="What is written on the trays."),
        Field(
            "spacing_mm", "Spacing in the row", SPACING, needed=True, hint="From cell to cell of the chain, pulled out."
        ),
        Field("sown_on", "Sown", OnDay()),
        Field("trays", "Trays", Counted()),
        Field("cells_per_tray", "Cells in a tray", Counted()),
        Field("seeds_per_cell", "Seeds in a cell", Counted()),
        Field("seed_lot", "Seed lot", WORDS),
        Field("supplier", "Supplier", WORDS),
        Field("label_germination", "Germination on the label", SHARE),
        Field("mix_screened", "Mix screened", YesNo()),
        Field("ready_from", "Ready from", OnDay()),
        Field("ready_until", "Ready until", OnDay()),
    ),
    "bed": (
        Field("name", "Name", NAME, needed=True),
        Field("block", "Block", WORDS),
        Field("length_mm", "Length", LENGTH, needed=True),
        Field("rows", "Rows", ROW_NUMBER, needed=True),
        Field("row_spacing_mm", "Between rows", WIDTH),
        Field("bed_spacing_mm", "From bed to bed", WIDTH, hint="From the middle of one to the middle of the next."),
        Field("texture", "Soil", Chosen(TEXTURES)),
        Field("retired", "No longer planted", YesNo()),
        Field("latitude", "Latitude", LATITUDE),
        Field("longitude", "Longitude", LONGITUDE),
    ),
    "person": (
        Field("name", "Name", NAME, needed=True),
        Field("role", "Role", Chosen(ROLES)),
        Field(
            "wage_per_hour", "Wage for an hour", MONEY, hint="Only owners see it, and no phone gets it.", private=True
        ),
    ),
    "weather": (
        Field("on", "Day", OnDay(), needed=True),
        Field("rain_mm", "Rain", WATER),
        Field("irrigation_mm", "Irrigation", WATER),
        Field("t_min_c", "Coldest", Warmth()),
        Field("t_max_c", "Warmest", Warmth()),
        Field("humidity_pct", "Humidity", PERCENT),
    ),
    "farm": (
        Field("name", "Name", NAME, needed=True),
        Field("zone", "Time zone", Zone(), needed=True, hint="It says on which day and in which hour something was."),
        Field("units", "Lengths are shown in", Chosen(UNITS), needed=True),
        Field("latitude", "Latitude", LATITUDE, hint="For the drying of beds, and for the side of the equator."),
        Field("longitude", "Longitude", LONGITUDE),
        Field(
            "plug_tray_plants_per_person_hour",
            "Plants from plug trays, set by hand",
            MONEY,
            hint="How many one person sets in an hour, to compare with.",
        ),
    ),
}

#: rules about more than one field, as `records` tells them, and the field beside which each is told
RULES: Mapping[str, str] = {
    "the readiness window ends before it starts": "ready_until",
    "more cells are empty than were looked at": "cells_empty",
    "the row ends before it starts": "ended_at",
    "a stop ends before it starts": "stops",
    "more misses were filled than were noted": "filled",
    "a plant lies beyond the end of the sample": "positions_mm",
    "the warmest is colder than the coldest": "t_max_c",
}


def fields_of(kind: str, role: Role) -> tuple[Field, ...]:
    """The fields of a kind that somebody of this role may see."""
    return tuple(field for field in FIELDS.get(kind, ()) if role is Role.OWNER or not field.private)


def may_change(kind: str, role: Role) -> bool:
    """Whether somebody of this role may change records of a kind here."""
    return kind in FIELDS and role.covers(Role.OWNER if kind in OWNERS_KINDS else Role.GROWER)
