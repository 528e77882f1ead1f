"""What was logged, the newest first, a page at a time; what is flagged, and why; one record as it stands."""

import json
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any, TypeVar

from sqlalchemy import Connection, select
from sqlmodel import Session, col
from sqlmodel import select as select_records

from shared_models.core.fold import fold
from shared_models.core.ids import is_id
from shared_models.core.moments import Moment, Timeline
from shared_models.errors import UnknownRecord
from shared_models.lazy_message import LazyMessage
from shared_models.log.prepared_statements import chunks
from shared_models.log.projection import RecordKey, history, last_good_row, validate
from shared_models.records.models import UNITS
from shared_models.records.problems import is_rule
from shared_models.records.tables import PROJECTIONS, Bed, Flagged, Person, Planting, Sowing, table_of
from shared_models.reports.rows.timelines import RowMoments, timeline_around

KIND_NAMES: Mapping[str, tuple[str, str]] = {
    "row_pass": ("Row", "Rows"),
    "soil_check": ("Soil check", "Soil checks"),
    "stand_count": ("Stand count", "Stand counts"),
    "tray_check": ("Tray check", "Tray checks"),
    "planting": ("Planting", "Plantings"),
    "sowing": ("Sowing", "Sowings"),
    "bed": ("Bed", "Beds"),
    "person": ("Person", "People"),
    "weather": ("Weather", "Weather"),
    "farm": ("Farm", "Farm"),
}
"""What kinds of record are called: one, and many."""

KINDS = tuple(kind for kind in KIND_NAMES if kind != "farm")
"""The kinds that are listed, in the order of how often they are looked for. The farm itself is no entry."""

IN_NO_REPORT = "Left out of reports until it is corrected."
LAST_GOOD = "Its last good values count until it is corrected."
CONFLICT = "Two corrections of this entry don't fit together. Its last good values count until it is corrected."

_FLAGGED = table_of(Flagged).c


@dataclass(frozen=True, slots=True)
class Entry:
    """A record as it stands. `problems` are the rules it breaks, by field; `timeline` is the clock a row goes by.

    Fields are as their table has them; where it breaks a rule, as the log has them, and `kept` says whether its table
    keeps its last good form.
    """

    key: RecordKey
    fields: Mapping[str, Any]
    problems: Mapping[str, LazyMessage] = field(default_factory=dict)
    timeline: Timeline = field(default_factory=lambda: Timeline(()), compare=False)
    kept: bool = False

    @property
    def until_corrected(self) -> str:
        """What counts until a record that breaks a rule is corrected."""
        return until_corrected(self.problems, kept=self.kept)

    @property
    def voided(self) -> bool:
        return self.fields.get("voided") is True

    def moment(self, name: str) -> Moment | None:
        """The moment `name` (started, ended) of a row; None where it is missing or not a moment."""
        at = time_in(self.fields.get(f"{name}_at"))
        boot, boot_ms = self.fields.get(f"{name}_boot"), self.fields.get(f"{name}_boot_ms")
        if at is None:
            return None
        if isinstance(boot, str) and isinstance(boot_ms, int):
            return Moment(at, boot, boot_ms)
        return Moment(at)

    def corrected(self, name: str) -> datetime | None:
        """The same moment on the corrected clock."""
        moment = self.moment(name)
        return None if moment is None else self.timeline.at(moment)


@dataclass(frozen=True, slots=True)
class Names:
    """What entries refer to: beds, sowings, plantings and people by id, deleted ones too."""

    beds: Mapping[str, Bed]
    sowings: Mapping[str, Sowing]
    plantings: Mapping[str, Planting]
    people: Mapping[str, Person]


def newest(
    session: Session, farm: str, limit: int, before: str = "", kinds: Collection[str] = KINDS
) -> tuple[list[Entry], bool]:
    """The latest entries made, or the latest before the one with the id `before`; and whether there are earlier ones.

    Ids begin with the time they were made, so each kind is read from the end of its key and no further than asked.
    """
    connection = session.connection()
    found = [entry for kind in kinds for entry in _newest_of(connection, farm, kind, limit + 1, before)]
    found.sort(key=lambda entry: entry.key.id, reverse=True)
    return _on_their_clock(session, farm, found[:limit]), len(found) > limit


def _newest_of(connection: Connection, farm: str, kind: str, limit: int, before: str) -> Iterable[Entry]:
    table = table_of(PROJECTIONS[kind])
    query = select(table).where(table.c.farm_id == farm).order_by(table.c.id.desc()).limit(limit)
    for row in connection.execute(query.where(table.c.id < before) if before else query):
        yield Entry(RecordKey(kind, row.id), dict(row._mapping))  # noqa: SLF001 - SQLAlchemy's public name for it


def flagged(session: Session, farm: str, limit: int | None = None) -> list[Entry]:
    """Records that break a rule, newest first: until corrected, in no report or there in their last good form."""
    wanted = select(table_of(Flagged)).where(_FLAGGED.farm_id == farm).order_by(_FLAGGED.id.desc()).limit(limit)
    found = [
        Entry(RecordKey(row.kind, row.id), json.loads(row.fields), problems_in(row.problems), kept=row.kept)
        for row in session.connection().execute(wanted)
    ]
    return _on_their_clock(session, farm, [entry for entry in found if not entry.voided])


def problems_in(text: str) -> dict[str, LazyMessage]:
    """Parse the `problems` column of the flagged table."""
    return {name: LazyMessage.from_json(held) for name, held in json.loads(text).items()}


def until_corrected(problems: Mapping[str, LazyMessage], *, kept: bool) -> str:
    """What counts until a record that breaks a rule is corrected: its last good form where it is `kept`, or nothing."""
    if not kept:
        return IN_NO_REPORT
    return CONFLICT if all(map(is_rule, problems.values())) else LAST_GOOD


def entry_of(session: Session, farm: str, key: RecordKey) -> Entry:
    """One record, whether good, flagged or deleted, folded from its lines.

    Raises:
        UnknownRecord: when no line of it is held here.
    """
    lines = history(session.connection(), farm, key)
    if not lines:
        raise UnknownRecord(key.kind, key.id)
    fields = fold(lines, UNITS.get(key.kind, {}))
    row, problems = validate(key.kind, fields)
    kept = row is None and last_good_row(key.kind, lines) is not None
    (entry,) = _on_their_clock(session, farm, [Entry(key, fields if row is None else row, problems, kept=kept)])
    return entry


def _on_their_clock(session: Session, farm: str, entries: list[Entry]) -> list[Entry]:
    """The entries; rows among them with the clock that the rows of their boots agree on."""
    rows = [
        RowMoments(entry.key.id, started, entry.moment("ended"))
        for entry in entries
        if entry.key.kind == "row_pass" and (started := entry.moment("started"))
    ]
    clock = timeline_around(session, farm, rows) if rows else Timeline(())
    return [replace(entry, timeline=clock) for entry in entries]


_Named = TypeVar("_Named", Bed, Sowing, Planting, Person)


def names_in(session: Session, farm: str, values: Iterable[Any]) -> Names:
    """Look up the ids among these values, and the beds and sowings of the plantings among them."""
    ids = set(_ids(values))
    plantings = _by_id(session, Planting, farm, ids)
    ids |= {each for planting in plantings.values() for each in (planting.bed, planting.sowing)}
    return Names(
        _by_id(session, Bed, farm, ids),
        _by_id(session, Sowing, farm, ids),
        plantings,
        _by_id(session, Person, farm, ids),
    )


def _ids(values: Iterable[Any]) -> Iterable[str]:
    for value in values:
        if isinstance(value, list):
            yield from _ids(value)
        elif is_id(value):
            yield value


def _by_id(session: Session, table: type[_Named], farm: str, ids: Collection[str]) -> dict[str, _Named]:
    every = select_records(table).where(table.farm_id == farm)
    return {found.id: found for chunk in chunks(ids) for found in session.exec(every.where(col(table.id).in_(chunk)))}


def time_in(value: Any) -> datetime | None:
    """Read a time from a table or a line; None if it is not one."""
    try:
        at = datetime.fromisoformat(value) if isinstance(value, str) else value
    except ValueError:
        return None
    return at if isinstance(at, datetime) and at.tzinfo else None


def day_in(value: Any) -> date | None:
    """Read a day from a table or a line; None if it is not one."""
    try:
        day = date.fromisoformat(value) if isinstance(value, str) else value
    except ValueError:
        return None
    return day if isinstance(day, date) else None
