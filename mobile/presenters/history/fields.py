"""The fields of each kind with their controls on the phone, in the order in which they are most likely to be wrong."""

import json
from collections.abc import Iterator, Mapping
from functools import cache
from typing import NamedTuple

from mobile.i18n.localizer import Localizer
from mobile.presenters.base.numbers import starting
from mobile.presenters.base.presenter import AppContext
from mobile.presenters.history.field_kinds import Chosen, Field, FieldContext, FieldKind, Numeric, Written, YesNo
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
from shared_models.fields import catalog
from shared_models.fields.catalog import FieldType
from shared_models.reports.audit.entries import Entry, Names
from shared_models.reports.audit.retiming import ENDED, STARTED

SHOWN_LETTERS = 60


class Ask(NamedTuple):
    """A field, with the control, label or key that it has here instead of the usual ones."""

    name: str
    kind: FieldKind | None = None
    label: str = ""
    key: str = ""
    needed: bool | None = None


def _usual(*names: str) -> tuple[Ask, ...]:
    return tuple(map(Ask, names))


ASKS: Mapping[str, tuple[Ask, ...]] = {
    "row_pass": (
        *_usual("misses", "filled", "doubles", "row"),
        Ask("planting", PlantingOfRow()),
        Ask("started_at", RowDay(), "Day", "day"),
        Ask("started_at", RowTime(STARTED)),
        Ask("ended_at", RowTime(ENDED), needed=True),
        Ask("stops", Stops()),
        Ask("crew", Crew()),
        *_usual("length_mm", "depth_notch", "depth_mm", "note"),
        Ask("start_latitude", AtPlace(("start_longitude", "start_accuracy_m")), "Start point"),
        Ask("end_latitude", AtPlace(("end_longitude", "end_accuracy_m")), "End point"),
    ),
    "soil_check": (
        Ask("bed", InBed()),
        Ask("at", OnDayOf(), "Day", "day"),
        Ask("at", AtTime(), "Time"),
        *_usual("feel", "residue_pct", "stones", "clods"),
        Ask("tilled_at", OnDayOf(), "Day of tillage", "tilled_day"),
        Ask("tilled_at", AtTime(), "Time of tillage"),
        *_usual("soil_c", "note"),
    ),
    "stand_count": (
        Ask("plants", PlantCount()),
        Ask("sample_length_mm", Numeric(starting(10, 3))),
        Ask("row"),
        Ask("planting", InPlanting()),
        Ask("at", OnDayOf(), "Day", "day"),
        Ask("at", AtTime(), "Time"),
        Ask("positions_mm", OnTape()),
        Ask("note"),
    ),
    "tray_check": (
        Ask("cells_empty"),
        Ask("cells_seen", Numeric(starting(264))),
        Ask("leaves", Numeric(starting(2))),
        Ask("roots_hold"),
        Ask("sowing", OfSowing()),
        *_usual("on", "note"),
    ),
    "planting": (Ask("bed", BedOfPlanting()), Ask("sowing", SowingOfPlanting()), *_usual("planned_on", "note")),
    "sowing": (
        *_usual("crop", "variety", "code", "spacing_mm", "sown_on"),
        Ask("trays", Numeric(starting(1))),
        *_usual("cells_per_tray", "seeds_per_cell", "seed_lot", "supplier", "label_germination", "mix_screened"),
        *_usual("ready_from", "ready_until"),
    ),
    "bed": (
        *_usual("name", "block", "length_mm", "rows", "row_spacing_mm", "bed_spacing_mm", "texture", "retired"),
        Ask("latitude", AtPlace(("longitude",)), "Point"),
    ),
    "person": _usual("name", "role"),
    "weather": (
        *_usual("on", "rain_mm", "irrigation_mm", "t_min_c", "t_max_c"),
        Ask("humidity_pct", Numeric(starting(60, step=5))),
    ),
}
_BY_TYPE: Mapping[FieldType, FieldKind] = {
    FieldType.WHOLE: Numeric(),
    FieldType.NUMBER: Numeric(),
    FieldType.YES_NO: YesNo(),
    FieldType.DAY: OnDay(),
}

#: part of another field, or nothing that people read
SILENT = frozenset(
    {"start_longitude", "start_accuracy_m", "end_longitude", "end_accuracy_m", "longitude", "photo", "wage_per_hour"}
)


@cache
def fields_of(kind: str) -> tuple[Field, ...]:
    """The fields of a kind."""
    return tuple(_field(ask, catalog.fields_of(kind)[ask.name]) for ask in ASKS.get(kind, ()))


def _field(ask: Ask, spec: catalog.Field) -> Field:
    usual = Chosen() if spec.choices else _BY_TYPE.get(spec.type, Written())
    always_set = spec.type in (FieldType.WHOLE, FieldType.NUMBER, FieldType.YES_NO) or bool(spec.choices)
    needed = spec.required or (always_set and not spec.nullable)
    return Field(spec, ask.kind or usual, needed if ask.needed is None else ask.needed, ask.label, ask.key)


def entry_fields(app: AppContext, names: Names, entry: Entry) -> Iterator[FieldContext]:
    """The fields that an entry lists."""
    for field in fields_of(entry.key.kind):
        context = FieldContext(app, names, entry, field)
        if field.kind.listed(context):
            yield context


def entry_field(app: AppContext, names: Names, entry: Entry, key: str) -> FieldContext | None:
    """A field of an entry, by its key; None where this app does not know it."""
    field = next((each for each in fields_of(entry.key.kind) if each.key == key), None)
    return None if field is None else FieldContext(app, names, entry, field)


def field_name(localizer: Localizer, kind: str, name: str) -> str:
    """What people call a field; one that this app does not know by the name it is stored under."""
    own = next((each.label for each in fields_of(kind) if each.key == name), None)
    return localizer.t(own or catalog.label_of(kind, name))


def format_field(context: FieldContext) -> str:
    """The value as people read it; one of another kind as it stands in the log."""
    if context.value is None or context.value in ("", []):
        return context.localizer.t("not entered")
    try:
        return context.field.kind.format(context)
    except (ValueError, TypeError, KeyError, ArithmeticError):
        return json.dumps(context.value, ensure_ascii=False, default=str)[:SHOWN_LETTERS]
