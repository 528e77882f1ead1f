"""Rows found by when they really were: what the rows of one boot tell together puts a wrong clock right.

Hardly any clock is wrong, and a phone may be on for weeks. So the database is asked first which boots have moments that
contradict each other, and only their rows are read, however far from the requested days; the wall clock of all other
boots holds as it is.
"""

from collections.abc import Collection, Iterable
from datetime import datetime, timedelta
from typing import Any, NamedTuple

from sqlalchemy import Column, ColumnElement, case, extract, func, or_, select
from sqlmodel import Session

from shared_models.core.moments import SAME_SETTING, Moment, Timeline
from shared_models.log.prepared_statements import chunks
from shared_models.records.tables import Planting, RowPass, table_of
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.common.filters import Filters

#: How far around the requested days boots are looked for that may belong there; their rows are found at any distance.
CLOCK_MARGIN = timedelta(days=7)
#: How far around the requested days rows are read, so that the turn before a day's first row is known.
TURN_MARGIN = timedelta(days=1)
#: No phone stays on for ten years.
LONGEST_BOOT_MS = 10 * 366 * 86_400_000
#: Moments of one boot that agree this well need no putting right. The database counts whole seconds, hence one less.
AGREEING_MS = (SAME_SETTING - timedelta(seconds=1)) // timedelta(milliseconds=1)

_ROW, _PLANTING = table_of(RowPass).c, table_of(Planting).c
_MOMENTS = tuple(
    _ROW[name] for name in ("started_at", "started_boot", "started_boot_ms", "ended_at", "ended_boot", "ended_boot_ms")
)
_SEEN = select(_ROW.id, *_MOMENTS)

Boots = tuple[str | None, str | None]
"""The boots in which a row was started and ended."""


class RowMoments(NamedTuple):
    """A row's id and moments, which is all that is needed to put clocks right."""

    id: str
    started: Moment
    ended: Moment | None


class Pass(NamedTuple):
    """A row as its table has it, as far as reports ask. `stops` are the plain JSON that was logged."""

    id: str
    planting: str
    row: int
    length_mm: int
    crew: list[str]
    stops: list[dict[str, Any]]
    misses: int
    doubles: int
    filled: int
    depth_mm: int | None
    depth_notch: int | None
    note: str
    started: Moment
    ended: Moment | None


Records = dict[str, Pass]

#: as many fields of a `Pass` are columns as they are; its moments come after them
_PLAIN = len(Pass._fields) - 2
_PASSES = select(*(_ROW[name] for name in Pass._fields[:_PLAIN]), *_MOMENTS)


def is_plausible(moment: Moment) -> bool:
    """Whether a moment can be used in calculations at all."""
    return moment.boot_ms < LONGEST_BOOT_MS


def rows_in_time(session: Session, farm: FarmFacts, filters: Filters) -> tuple[Records, Timeline]:
    """At least every row selected, a day more on both sides, and their timeline."""
    if filters.planting or filters.bed:
        plantings = {filters.planting} if filters.planting else _planted_in(session, farm.id, filters.bed)
        return rows_of_plantings(session, farm, plantings)
    if filters.first is None and filters.last is None:
        records = _read(session, farm.id)
        return records, timeline_of(records.values())
    boots = _boots_around(session, farm.id, *filters.bounds(farm.zone, CLOCK_MARGIN))
    put_right = _rows_to_correct(session, farm.id, boots)
    timeline = timeline_of(put_right)
    begin, end = filters.bounds(farm.zone, TURN_MARGIN)
    records = _read(session, farm.id, *_started(begin, end))
    for row in put_right:
        records.pop(row.id, None)
    ids = [row.id for row in put_right if _between(begin, row.started, timeline, end)]
    return records | _by(session, farm.id, _ROW.id, ids), timeline


def rows_of_plantings(session: Session, farm: FarmFacts, plantings: Collection[str]) -> tuple[Records, Timeline]:
    """Every row of these plantings, and their timeline."""
    records = _by(session, farm.id, _ROW.planting, plantings)
    boots = ((row.started.boot, row.ended.boot if row.ended else None) for row in records.values())
    return records, timeline_of(_rows_to_correct(session, farm.id, boots))


def count_rows(session: Session, farm: str, plantings: Collection[str]) -> dict[str, int]:
    """Count the rows of these plantings."""
    query = select(_ROW.planting, func.count()).group_by(_ROW.planting)
    some = (_of(farm, query, _ROW.planting.in_(chunk)) for chunk in chunks(plantings))
    return {planting: count for each in some for planting, count in session.connection().execute(each)}


def _boots_around(session: Session, farm: str, begin: datetime | None, end: datetime | None) -> Iterable[Boots]:
    query = select(_ROW.started_boot, _ROW.ended_boot).distinct()
    return ((began, ended) for began, ended in session.connection().execute(_of(farm, query, *_started(begin, end))))


def _planted_in(session: Session, farm: str, bed: str | None) -> set[str]:
    """The plantings of a bed, deleted ones too."""
    query = select(_PLANTING.id).where(_PLANTING.farm_id == farm, _PLANTING.bed == bed)
    return set(session.connection().scalars(query))


def timeline_around(session: Session, farm: str, rows: Collection[RowMoments | RowPass]) -> Timeline:
    """The timeline of these rows, from all rows of their boots."""
    boots = {moment.boot for row in rows for moment in (row.started, row.ended) if moment and moment.boot}
    known = {row.id for row in rows}
    return timeline_of([*rows, *(row for row in _of_boots(session, farm, boots) if row.id not in known)])


def row_moments(session: Session, farm: str, *wanted: ColumnElement[bool]) -> list[RowMoments]:
    """The moments of the farm's rows, without the rest."""
    rows = session.connection().execute(_of(farm, _SEEN, *wanted))
    return [RowMoments(row_id, *_moments(*moments)) for row_id, *moments in rows]


def timeline_of(rows: Iterable[RowMoments | Pass | RowPass]) -> Timeline:
    """The timeline of these rows."""
    moments = (moment for row in rows for moment in (row.started, row.ended))
    return Timeline(moment for moment in moments if moment and is_plausible(moment))


def _rows_to_correct(session: Session, farm: str, boots: Iterable[Boots]) -> list[RowMoments]:
    """The rows of those boots whose clock may have to be put right.

    That is a boot whose moments contradict each other, and one in which a row of another ended.
    """
    pairs = {(began or "", ended or began or "") for began, ended in boots}
    new = {boot for pair in pairs for boot in pair if pair[0] != pair[1]}
    new = (new | _boots_to_correct(session, farm, {boot for pair in pairs for boot in pair} - new)) - {""}
    rows: list[RowMoments] = []
    read: set[str] = set()
    while new:
        found = _of_boots(session, farm, new)
        rows, read = rows + found, read | new
        new = {row.ended.boot for row in found if row.ended and row.ended.boot} - read
    return rows


def _boots_to_correct(session: Session, farm: str, boots: Collection[str]) -> set[str]:
    """The boots whose moments set the clock in different ways, or in which a row of another boot ended."""
    began, ended = _setting_ms("started"), case((_ROW.ended_boot == _ROW.started_boot, _setting_ms("ended")))
    spreads = (func.max(late) - func.min(early) for late in (began, ended) for early in (began, ended))
    elsewhere = func.max(case((_ROW.ended_boot != _ROW.started_boot, 1), else_=0)) == 1
    query = select(_ROW.started_boot).group_by(_ROW.started_boot)
    query = query.having(or_(elsewhere, *(spread > AGREEING_MS for spread in spreads)))
    return {
        boot
        for chunk in chunks(boots)
        for boot in session.connection().scalars(_of(farm, query, _ROW.started_boot.in_(chunk)))
    }


def _setting_ms(name: str) -> ColumnElement[int]:
    """How the wall clock was set against the boot clock, to the second."""
    return extract("epoch", _ROW[f"{name}_at"]) * 1000 - func.coalesce(_ROW[f"{name}_boot_ms"], 0)


def _of(farm: str, query: Any, *wanted: ColumnElement[bool]) -> Any:
    return query.where(_ROW.farm_id == farm, _ROW.voided.is_(False), *wanted)


def _started(begin: datetime | None, end: datetime | None) -> list[ColumnElement[bool]]:
    return [*([_ROW.started_at >= begin] if begin else []), *([_ROW.started_at < end] if end else [])]


def _of_boots(session: Session, farm: str, boots: Collection[str]) -> list[RowMoments]:
    return [row for chunk in chunks(boots) for row in row_moments(session, farm, _ROW.started_boot.in_(chunk))]


def _read(session: Session, farm: str, *wanted: ColumnElement[bool]) -> Records:
    rows = session.connection().execute(_of(farm, _PASSES, *wanted))
    return {row.id: Pass._make((*row[:_PLAIN], *_moments(*row[_PLAIN:]))) for row in rows}


def _moments(
    start: datetime,
    boot: str | None,
    boot_ms: int | None,
    end: datetime | None,
    end_boot: str | None,
    end_ms: int | None,
) -> tuple[Moment, Moment | None]:
    return Moment(start, boot or "", boot_ms or 0), Moment(end, end_boot or "", end_ms or 0) if end else None


def _by(session: Session, farm: str, column: Column[str], ids: Collection[str]) -> Records:
    found: Records = {}
    for chunk in chunks(ids):
        found |= _read(session, farm, column.in_(chunk))
    return found


def _between(begin: datetime | None, moment: Moment, timeline: Timeline, end: datetime | None) -> bool:
    at = timeline.at(moment) if is_plausible(moment) else moment.at
    return (begin is None or begin <= at) and (end is None or at < end)
