"""Rows as reports see them: named, put on the right clock, timed, and with the turning time before each."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import NamedTuple

from sqlmodel import Session

from shared_models.errors import BadQuantity
from shared_models.moments import Moment, Timeline, elapsed_s
from shared_models.reports.clocks import Records, believable, rows_in_time, rows_of_plantings
from shared_models.reports.farm import FarmFacts
from shared_models.reports.filters import Filters
from shared_models.reports.references import Place, References
from shared_models.tables import RowPass
from shared_models.told import Told
from shared_models.trade.pace import TimedRow, turns
from shared_models.words import StopReason

#: Stands for a spacing that is not known: no plant is counted. `LoggedRow.spacing_mm` is None then.
NO_PLANTS_MM = 1e18

BED_AND_ROW = "{bed}, row {row}"
NOT_ENDED = "It was started but not ended."
ODD_TIMES = "Its times cannot be right, so it is not counted."
LONG_STOPS = "Its stops are longer than the row."


@dataclass(frozen=True, slots=True)
class LoggedRow:
    """One row as it was logged. `timed` is None where it cannot be counted: it is open, or its times cannot be right.

    `start` and `end` are in UTC and put right; `crew` names the people, without the ids nobody knows, and is never
    empty; `looks` are sentences that say why somebody should look at the entry.
    """

    id: str
    place: Place
    row: int
    length_mm: int
    crew_ids: tuple[str, ...]
    crew: tuple[str, ...]
    start: datetime
    end: datetime | None
    timed: TimedRow | None
    stops: tuple[tuple[StopReason, float], ...] = ()
    misses: int = 0
    doubles: int = 0
    filled: int = 0
    depth_mm: int | None = None
    depth_notch: int | None = None
    note: str = ""
    looks: tuple[str, ...] = ()

    @property
    def open(self) -> bool:
        """Whether the row has no end yet."""
        return self.end is None

    @property
    def label(self) -> str:
        """Bed and row."""
        return Told(BED_AND_ROW, bed=self.place.bed, row=self.row)


def gather(
    session: Session, farm: FarmFacts, filters: Filters, references: References | None = None
) -> list[LoggedRow]:
    """The rows asked about, in the order of their starts; open ones and ones that cannot be counted among them."""
    names = references or References(session, farm.id)
    rows = _logged(*rows_in_time(session, farm, filters), names, farm)
    return [row for row in rows if _asked(row, farm, filters)]


def of_plantings(
    session: Session, farm: FarmFacts, plantings: Collection[str], references: References
) -> list[LoggedRow]:
    """Every row of these plantings, whenever it was planted."""
    return _logged(*rows_of_plantings(session, farm, plantings), references, farm)


def _logged(records: Records, timeline: Timeline, names: References, farm: FarmFacts) -> list[LoggedRow]:
    rows = [_row(record, timeline, names) for record in records.values()]
    return _with_turns(rows, farm.setting("longest_turn_s"))


class _Times(NamedTuple):
    start: datetime
    end: datetime | None
    timed: TimedRow | None = None
    stops: tuple[tuple[StopReason, float], ...] = ()
    look: str = ""


def _row(record: RowPass, timeline: Timeline, names: References) -> LoggedRow:
    place = names.place(record.planting)
    crew_ids = tuple(dict.fromkeys(record.crew))
    crew = names.people(crew_ids)
    times = _times(record, timeline, place.spacing_mm, len(crew))
    return LoggedRow(
        id=record.id,
        place=place,
        row=record.row,
        length_mm=record.length_mm,
        crew_ids=crew_ids,
        crew=crew,
        start=times.start,
        end=times.end,
        timed=times.timed,
        stops=times.stops,
        misses=record.misses,
        doubles=record.doubles,
        filled=record.filled,
        depth_mm=record.depth_mm,
        depth_notch=record.depth_notch,
        note=record.note,
        looks=tuple(look for look in (place.missing, times.look) if look),
    )


def _times(record: RowPass, timeline: Timeline, spacing_mm: float | None, crew: int) -> _Times:
    stops = record.stop_entries
    moments = (record.started, record.ended, *(each for stop in stops for each in (stop.began, stop.ended)))
    if not all(believable(moment) for moment in moments if moment):
        return _Times(record.started_at, record.ended_at, look=ODD_TIMES)
    start, end = timeline.at(record.started), record.ended
    if end is None:
        return _Times(start, None, look=NOT_ENDED)
    duration_s = _seconds(timeline, record.started, end)
    stopped = tuple(
        (StopReason(stop.reason), max(0.0, _seconds(timeline, stop.began, stop.ended or end))) for stop in stops
    )
    stopped_s = sum(seconds for _, seconds in stopped)
    try:
        timed = TimedRow(
            start, duration_s, min(stopped_s, duration_s), record.length_mm, spacing_mm or NO_PLANTS_MM, crew
        )
    except BadQuantity:
        return _Times(start, timeline.at(end), look=ODD_TIMES)
    return _Times(start, timed.end, timed, stopped, LONG_STOPS if stopped_s > duration_s else "")


def _seconds(timeline: Timeline, begin: Moment, end: Moment) -> float:
    if begin.boot and begin.boot == end.boot:
        return elapsed_s(begin, end)
    return (timeline.at(end) - timeline.at(begin)).total_seconds()


def _asked(row: LoggedRow, farm: FarmFacts, filters: Filters) -> bool:
    return (
        filters.covers(day_of(row, farm))
        and filters.bed in (None, row.place.bed_id)
        and filters.planting in (None, row.place.planting_id)
        and filters.grows(row.place.crop)
    )


def day_of(row: LoggedRow, farm: FarmFacts) -> date:
    """The farm's day a row belongs to: the day of its start."""
    return farm.day(row.start) if believable(Moment(row.start)) else row.start.date()


def _with_turns(rows: list[LoggedRow], longest_turn_s: float) -> list[LoggedRow]:
    by_planting: dict[str, list[LoggedRow]] = defaultdict(list)
    for row in rows:
        if row.timed:
            by_planting[row.place.planting_id].append(row)
    timed = {
        id(row): with_turn
        for planting in by_planting.values()
        for pulls in _pulls(planting)
        for row, with_turn in zip(pulls, turns([row.timed for row in pulls if row.timed], longest_turn_s), strict=True)
    }
    every = [replace(row, timed=timed[id(row)]) if id(row) in timed else row for row in rows]
    return sorted(every, key=lambda row: (row.start, row.id))


def _pulls(planting: Iterable[LoggedRow]) -> Iterable[Sequence[LoggedRow]]:
    """Split the rows of one planting into what each transplanter pulled, one row after another.

    A row goes on with a transplanter that is free: the one its crew had last, else the one that became free last. So
    two crews side by side have turns of their own, and people who take turns at one transplanter do not wait for it
    in field time.
    """
    pulled: list[list[LoggedRow]] = []
    for row in sorted(planting, key=lambda each: (each.start, each.id)):
        free = [rows for rows in pulled if rows[-1].end and rows[-1].end <= row.start]
        if free:
            max(free, key=lambda rows: (set(rows[-1].crew_ids) == set(row.crew_ids), rows[-1].end)).append(row)
        else:
            pulled.append([row])
    return pulled
