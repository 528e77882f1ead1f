"""What a record is called in a line of a list."""

import json
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from sqlalchemy import select
from sqlmodel import Session

from server.office.forms.names import RecordNames
from shared_models.log.prepared_statements import chunks
from shared_models.log.projection import RecordKey
from shared_models.records.tables import PROJECTIONS, Flagged, table_of
from shared_models.reports.audit.entries import KIND_NAMES, Entry, day_in

LONGEST_PART = 120
#: letters of a value that stands among many
LONGEST = 160
#: the fields in a title
IN_TITLES: Mapping[str, tuple[str, ...]] = {
    "row_pass": ("planting", "row"),
    "stand_count": ("planting", "row"),
    "soil_check": ("bed",),
    "tray_check": ("sowing",),
    "planting": ("bed", "sowing"),
    "sowing": ("crop", "variety", "code"),
    "bed": ("block", "name"),
    "weather": ("on",),
    "person": ("name",),
    "farm": ("name",),
}
_FLAGGED = table_of(Flagged).c


def title(entry: Entry, names: RecordNames) -> str:
    """What a record is called, without its kind."""
    fields = entry.fields
    titles: dict[str, Callable[[], str]] = {
        "row_pass": lambda: _with_row(fields, names),
        "stand_count": lambda: _with_row(fields, names),
        "soil_check": lambda: names.bed(fields.get("bed")),
        "tray_check": lambda: names.sowing(fields.get("sowing")),
        "planting": lambda: f"{names.sowing(fields.get('sowing'))}, {names.bed(fields.get('bed'))}",
        "sowing": lambda: _together(fields, "crop", "variety", "code"),
        "bed": lambda: f"{fields.get('name') or ''} ({fields['block']})" if fields.get("block") else _name(fields),
        "weather": lambda: names.localizer.date(day) if (day := day_in(fields.get("on"))) else "",
    }
    return titles.get(entry.key.kind, lambda: _name(fields))()


def _with_row(fields: Mapping[str, Any], names: RecordNames) -> str:
    row = names.localizer.t("row {row}", row=fields.get("row", "?"))
    return f"{names.planting(fields.get('planting'))}, {row}"


def _name(fields: Mapping[str, Any]) -> str:
    return _together(fields, "name")


def _together(fields: Mapping[str, Any], *names: str) -> str:
    return " ".join(str(fields[name])[:LONGEST_PART] for name in names if fields.get(name))


def brief(text: str) -> str:
    """A text where it stands among many; the record's own page has all of it."""
    return text if len(text) <= LONGEST else f"{text[:LONGEST].rstrip()} …"


def kind_name(kind: str, names: RecordNames) -> str:
    """What a kind is called; one this program does not know, by its own word."""
    return names.localizer.t(KIND_NAMES[kind][0]) if kind in KIND_NAMES else kind.replace("_", " ")


def entries_of(session: Session, farm: str, keys: Iterable[RecordKey]) -> dict[RecordKey, Entry]:
    """These records as they stand, good or flagged; without the clock that rows go by."""
    found: dict[RecordKey, Entry] = {}
    by_kind: dict[str, set[str]] = {}
    for key in keys:
        by_kind.setdefault(key.kind, set()).add(key.id)
    for kind in by_kind.keys() & PROJECTIONS.keys():
        table = table_of(PROJECTIONS[kind])
        for chunk in chunks(by_kind[kind]):
            query = select(table).where(table.c.farm_id == farm, table.c.id.in_(chunk))
            for row in session.connection().execute(query).mappings():
                key = RecordKey(kind, row["id"])
                found[key] = Entry(key, dict(row))
    return found | _flagged(session, farm, {key for ids in by_kind.values() for key in ids} - {k.id for k in found})


def _flagged(session: Session, farm: str, ids: set[str]) -> dict[RecordKey, Entry]:
    found: dict[RecordKey, Entry] = {}
    for chunk in chunks(ids):
        query = select(_FLAGGED.kind, _FLAGGED.id, _FLAGGED.fields).where(_FLAGGED.farm_id == farm)
        for row in session.connection().execute(query.where(_FLAGGED.id.in_(chunk))):
            key = RecordKey(row.kind, row.id)
            found[key] = Entry(key, json.loads(row.fields))
    return found
