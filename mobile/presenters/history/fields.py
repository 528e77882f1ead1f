"""What each kind of entry tells, in the order in which it is most likely to be wrong."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping

from mobile.presenters.base.presenter import AppContext
from mobile.presenters.history.field_kinds import (
    DEPTH,
    LENGTH,
    SPACING,
    STRETCH,
    WATER,
    WIDTH,
    Chosen,
    Counted,
    Field,
    FieldContext,
    Percent,
    Warmth,
    Written,
    YesNo,
)
from mobile.presenters.history.field_kinds_dates import AtTime, OnDay, OnDayOf, RowDay, RowTime
from mobile.presenters.history.field_kinds_refs import (
    AtPlace,
    BedOfPlanting,
    Crew,
    InBed,
    InPlanting,
    OfSowing,
    OnTape,
    PlantCount,
    PlantingOfRow,
    SowingOfPlanting,
    Stops,
)
from shared_models.i18n.labels import AMOUNTS, FEELS, ROLES, TEXTURES
from shared_models.reports.audit.entries import Entry, Names
from shared_models.reports.audit.retiming import ENDED, STARTED

ROW_NUMBER = Counted(start=1, lowest=1, highest=1000)
SHOWN_LETTERS = 60

FIELDS: Mapping[str, tuple[Field, ...]] = {
    "row_pass": (
        Field("misses", "Misses", Counted(), needed=True),
        Field("filled", "Filled", Counted(), needed=True),
        Field("doubles", "Doubles", Counted(), needed=True),
        Field("row", "Row", ROW_NUMBER, needed=True),
        Field("planting", "Planting", PlantingOfRow(), needed=True),
        Field("started_at", "Day", RowDay(), needed=True, own_key="day"),
        Field("started_at", "Start", RowTime(STARTED), needed=True),
        Field("ended_at", "End", RowTime(ENDED), needed=True),
        Field("stops", "Stops", Stops(), needed=True),
        Field("crew", "Crew", Crew()),
        Field("length_mm", "Length", LENGTH, needed=True),
        Field("depth_notch", "Depth notch", Counted()),
        Field("depth_mm", "Measured depth", DEPTH),
        Field("note", "Note", Written()),
        Field("start_latitude", "Start point", AtPlace(("start_longitude", "start_accuracy_m"))),
        Field("end_latitude", "End point", AtPlace(("end_longitude", "end_accuracy_m"))),
    ),
    "soil_check": (
        Field("bed", "Bed", InBed(), needed=True),
        Field("at", "Day", OnDayOf(), needed=True, own_key="day"),
        Field("at", "Time", AtTime(), needed=True),
        Field("feel", "Feel", Chosen(FEELS)),
        Field("residue_pct", "Residue", Percent()),
        Field("stones", "Stones", Chosen(AMOUNTS)),
        Field("clods", "Clods", Chosen(AMOUNTS)),
        Field("tilled_at", "Day of tillage", OnDayOf(), own_key="tilled_day"),
        Field("tilled_at", "Time of tillage", AtTime()),
        Field("soil_c", "Soil temperature", Warmth()),
        Field("note", "Note", Written()),
    ),
    "stand_count": (
        Field("plants", "Plants", PlantCount(), needed=True),
        Field("sample_length_mm", "Length", STRETCH, needed=True),
        Field("row", "Row", ROW_NUMBER, needed=True),
        Field("planting", "Planting", InPlanting(), needed=True),
        Field("at", "Day", OnDayOf(), needed=True, own_key="day"),
        Field("at", "Time", AtTime(), needed=True),
        Field("positions_mm", "Places on the tape", OnTape()),
        Field("note", "Note", Written()),
    ),
    "tray_check": (
        Field("cells_empty", "Empty", Counted(), needed=True),
        Field("cells_seen", "Cells", Counted(start=264), needed=True),
        Field("leaves", "Leaves", Counted(start=2)),
        Field("roots_hold", "Roots hold", YesNo()),
        Field("sowing", "Sowing", OfSowing(), needed=True),
        Field("on", "Day", OnDay(), needed=True),
        Field("note", "Note", Written()),
    ),
    "planting": (
        Field("bed", "Bed", BedOfPlanting(), needed=True),
        Field("sowing", "Sowing", SowingOfPlanting(), needed=True),
        Field("planned_on", "Day", OnDay()),
        Field("note", "Note", Written()),
    ),
    "sowing": (
        Field("crop", "Crop", Written(), needed=True),
        Field("variety", "Variety", Written()),
        Field("code", "Code", Written()),
        Field("spacing_mm", "Spacing", SPACING, needed=True),
        Field("sown_on", "Sown", OnDay()),
        Field("trays", "Trays", Counted(start=1)),
        Field("cells_per_tray", "Cells in a tray", Counted(start=264, lowest=1), needed=True),
        Field("seeds_per_cell", "Seeds in a cell", Counted(start=1), needed=True),
        Field("seed_lot", "Seed lot", Written()),
        Field("supplier", "Supplier", Written()),
        Field("label_germination", "Germination on the label", Percent(of_one=True, start=90, step=1)),
        Field("mix_screened", "Mix screened", YesNo()),
        Field("ready_from", "Ready from", OnDay()),
        Field("ready_until", "Ready until", OnDay()),
    ),
    "bed": (
        Field("name", "Name", Written(), needed=True),
        Field("block", "Block", Written()),
        Field("length_mm", "Length", LENGTH, needed=True),
        Field("rows", "Rows", ROW_NUMBER, needed=True),
        Field("row_spacing_mm", "Between rows", WIDTH),
        Field("bed_spacing_mm", "Between beds", WIDTH),
        Field("texture", "Soil", Chosen(TEXTURES)),
        Field("retired", "No longer planted", YesNo(), needed=True),
        Field("latitude", "Point", AtPlace(("longitude",))),
    ),
    "person": (
        Field("name", "Name", Written(), needed=True),
        Field("role", "Role", Chosen(ROLES), needed=True),
    ),
    "weather": (
        Field("on", "Day", OnDay(), needed=True),
        Field("rain_mm", "Rain", WATER),
        Field("irrigation_mm", "Irrigation", WATER),
        Field("t_min_c", "Coldest", Warmth()),
        Field("t_max_c", "Warmest", Warmth()),
        Field("humidity_pct", "Humidity", Percent(start=60)),
    ),
}

#: told together with another field, or nothing that people read
SILENT = frozenset(
    {"start_longitude", "start_accuracy_m", "end_longitude", "end_accuracy_m", "longitude", "photo", "wage_per_hour"}
)


def fields_of(context: AppContext, names: Names, entry: Entry) -> Iterator[FieldContext]:
    """Everything that an entry tells."""
    for field in FIELDS.get(entry.key.kind, ()):
        told = FieldContext(context, names, entry, field)
        if field.ask.listed(told):
            yield told


def field_of(context: AppContext, names: Names, entry: Entry, key: str) -> FieldContext | None:
    """One of the things that an entry tells, by its key; None where this app does not know it."""
    field = next((each for each in FIELDS.get(entry.key.kind, ()) if each.key == key), None)
    return None if field is None else FieldContext(context, names, entry, field)


def in_words(told: FieldContext) -> str:
    """What is told; what cannot be said is shown as it stands in the log."""
    if told.value is None or told.value in ("", []):
        return told.localizer.t("not told")
    try:
        return told.field.ask.said(told)
    except (ValueError, TypeError, KeyError, ArithmeticError):
        return json.dumps(told.value, ensure_ascii=False, default=str)[:SHOWN_LETTERS]
