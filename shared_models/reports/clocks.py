"""Rows found by when they really were: what the rows of one boot tell together puts a wrong clock right."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import datetime, timedelta
from typing import NamedTuple

from sqlalchemy import ColumnElement
from sqlalchemy import select as select_columns
from sqlalchemy.orm import Mapped
from sqlmodel import Session, col, select

from shared_models.moments import Moment, Timeline
from shared_models.reports.farm import FarmFacts
from shared_models.reports.filters import FIRST_YEAR, LAST_YEAR, Filters
from shared_models.tables import RowPass, table_of

#: How far around the days asked about boots are looked for that may belong there; their rows are found at any distance.
CLOCK_MARGIN = timedelta(days=7)
#: How far around the days asked about rows are read, so that the turn before a day's first row is known.
TURN_MARGIN = timedelta(days=1)
#: No phone stays on for ten years.
LONGEST_BOOT_MS = 10 * 366 * 86_400_000
#: Ids looked up at once; below SQLite's limit of variables in one statement.
CHUNK = 500

_ROW = table_of(RowPass)
_SEEN = select_columns(
    *(
        _ROW.c[name]
        for name in ("id", "started_at", "started_boot", "started_boot_ms", "ended_at", "ended_boot", "ended_boot_ms")
    )
)

Records = dict[str, RowPass]


class Seen(NamedTuple):
    """A row's id and moments, which is all that is needed to put clocks right."""

    id: str
    started: Moment
    ended: Moment | None


def believable(moment: Moment) -> bool:
    """Whether a moment can be reckoned with at all."""
    return FIRST_YEAR <= moment.at.year <= LAST_YEAR and moment.boot_ms < LONGEST_BOOT_MS


def chunks(ids: Collection[str]) -> Iterable[list[str]]:
    """The ids in lists that a statement can take."""
    every = sorted(ids)
    return (every[start : start + CHUNK] for start in range(0, len(every), CHUNK))


def rows_in_time(session: Session, farm: FarmFacts, filters: Filters) -> tuple[Records, Timeline]:
    """At least every row of the days asked about, a day more on both sides, and the clock they go by."""
    if filters.first is None and filters.last is None:
        records = _read(session, farm.id)
        return records, timeline_of(records.values())
    begin, end = filters.bounds(farm.zone, CLOCK_MARGIN)
    wanted = [_ROW.c.started_at >= begin] if begin else []
    wanted += [_ROW.c.started_at < end] if end else []
    near = seen(session, farm.id, *wanted)
    every = [*near, *_sharing_a_boot(session, farm.id, near)]
    timeline = timeline_of(every)
    begin, end = filters.bounds(farm.zone, TURN_MARGIN)
    ids = [row.id for row in every if _between(begin, row.started, timeline, end)]
    return _by(session, farm.id, col(RowPass.id), ids), timeline


def rows_of_plantings(session: Session, farm: FarmFacts, plantings: Collection[str]) -> tuple[Records, Timeline]:
    """Every row of these plantings, and the clock they go by."""
    records = _by(session, farm.id, col(RowPass.planting), plantings)
    return records, timeline_around(session, farm.id, records.values())


def timeline_around(session: Session, farm: str, rows: Collection[Seen | RowPass]) -> Timeline:
    """The clock that these rows go by, together with the other rows of their boots."""
    return timeline_of([*rows, *_sharing_a_boot(session, farm, rows)])


def seen(session: Session, farm: str, *wanted: ColumnElement[bool]) -> list[Seen]:
    """The moments of the farm's rows, without the rest."""
    query = _SEEN.where(_ROW.c.farm_id == farm, _ROW.c.voided.is_(False), *wanted)
    return [
        Seen(row_id, Moment(start, boot or "", boot_ms or 0), Moment(end, end_boot or "", end_ms or 0) if end else None)
        for row_id, start, boot, boot_ms, end, end_boot, end_ms in session.connection().execute(query)
    ]


def timeline_of(rows: Iterable[Seen | RowPass]) -> Timeline:
    """The clock that these rows go by."""
    moments = (moment for row in rows for moment in (row.started, row.ended))
    return Timeline(moment for moment in moments if moment and believable(moment))


def _read(session: Session, farm: str, *wanted: ColumnElement[bool]) -> Records:
    query = select(RowPass).where(RowPass.farm_id == farm, col(RowPass.voided).is_(False), *wanted)
    return {record.id: record for record in session.exec(query)}


def _by(session: Session, farm: str, column: Mapped[str], ids: Collection[str]) -> Records:
    found: Records = {}
    for chunk in chunks(ids):
        found |= _read(session, farm, column.in_(chunk))
    return found


def _sharing_a_boot(session: Session, farm: str, rows: Collection[Seen | RowPass]) -> list[Seen]:
    """The other rows that started in a boot of these rows."""
    boots = {moment.boot for row in rows for moment in (row.started, row.ended) if moment and moment.boot}
    found = [row for chunk in chunks(boots) for row in seen(session, farm, _ROW.c.started_boot.in_(chunk))]
    known = {row.id for row in rows}
    return [row for row in found if row.id not in known]


def _between(begin: datetime | None, moment: Moment, timeline: Timeline, end: datetime | None) -> bool:
    at = timeline.at(moment) if believable(moment) else moment.at
    return (begin is None or begin <= at) and (end is None or at < end)
