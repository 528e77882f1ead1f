"""Rows as reports see them: named, put on the right clock, timed, and with the turning time before each."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import NamedTuple

from shared_models.core.moments import Moment, Timeline, elapsed_s
from shared_models.core.vocabulary import StopReason
from shared_models.errors import BadQuantity
from shared_models.lazy_message import LazyMessage
from shared_models.records.models import StopEntry
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.common.filters import Filters
from shared_models.reports.common.references import Place, References
from shared_models.reports.rows.timelines import (
    Pass,
    Records,
    count_rows,
    is_plausible,
    rows_in_time,
    rows_of_plantings,
)
from shared_models.trade.pace.pace import TimedRow, turns
from shared_models.trade.pace.stops import held_up_s

BED_AND_ROW = "{bed}, row {row}"
NOT_ENDED = "It was started but not ended."
ODD_TIMES = "Its times cannot be right, so it is not counted."
LONG_STOPS = "Its stops are longer than the row."


@dataclass(frozen=True, slots=True)
class LoggedRow:
    """One row as it was logged. `timed` is None where it cannot be counted: it is open, or its times cannot be right.

    `start` and `end` are in UTC and put right; `crew` names the people, without the ids nobody knows, and is never
    empty; `issues` are sentences that say why somebody should look at the entry.
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
    issues: tuple[str, ...] = ()

    @property
    def open(self) -> bool:
        return self.end is None

    @property
    def label(self) -> str:
        return LazyMessage(BED_AND_ROW, bed=self.place.bed, row=self.row)


def load_rows(context: ReportContext, filters: Filters) -> list[LoggedRow]:
    """The rows selected, in the order of their starts; open ones and ones that cannot be counted included."""
    rows = _logged(*rows_in_time(context.session, context.farm, filters), context)
    return [row for row in rows if _asked(row, context.farm, filters)]


def load_planting_rows(context: ReportContext, plantings: Collection[str]) -> list[LoggedRow]:
    """Every row of these plantings, on any day."""
    return _logged(*rows_of_plantings(context.session, context.farm, plantings), context)


def complete_plantings(context: ReportContext, plantings: set[str], rows: Sequence[LoggedRow]) -> list[LoggedRow]:
    """Every row of these plantings; only plantings that `rows` do not hold in full are read."""
    had = Counter(row.place.planting_id for row in rows)
    held = count_rows(context.session, context.farm.id, plantings & had.keys())
    whole = {planting for planting, count in held.items() if had[planting] == count}
    kept = [row for row in rows if row.place.planting_id in whole]
    read = load_planting_rows(context, plantings - whole)
    return sorted([*kept, *read], key=_by_start)


def _by_start(row: LoggedRow) -> tuple[datetime, str]:
    return row.start, row.id


def _logged(records: Records, timeline: Timeline, context: ReportContext) -> list[LoggedRow]:
    names = context.references
    names.look_up({record.planting for record in records.values()})
    rows = [_row(record, timeline, names) for record in records.values()]
    _take_turns(rows, context.farm.setting("longest_turn_s"))
    return sorted(map(_logged_row, rows), key=_by_start)


@dataclass(slots=True)
class _Row:
    """A row on its way into a report: as it was logged, what it refers to, and its times, which turns go into."""

    record: Pass
    place: Place
    crew_ids: tuple[str, ...]
    crew: tuple[str, ...]
    start: datetime
    end: datetime | None
    timed: TimedRow | None
    stops: tuple[tuple[StopReason, float], ...]
    issue: str


def _row(record: Pass, timeline: Timeline, names: References) -> _Row:
    place = names.place(record.planting)
    crew_ids = tuple(dict.fromkeys(record.crew))
    crew = names.people(crew_ids)
    return _Row(record, place, crew_ids, crew, *_times(record, timeline, place.spacing_mm, len(crew)))


def _logged_row(row: _Row) -> LoggedRow:
    record = row.record
    return LoggedRow(
        id=record.id,
        place=row.place,
        row=record.row,
        length_mm=record.length_mm,
        crew_ids=row.crew_ids,
        crew=row.crew,
        start=row.start,
        end=row.end,
        timed=row.timed,
        stops=row.stops,
        misses=record.misses,
        doubles=record.doubles,
        filled=record.filled,
        depth_mm=record.depth_mm,
        depth_notch=record.depth_notch,
        note=record.note,
        issues=tuple(issue for issue in (row.place.missing, row.issue) if issue),
    )


class _Times(NamedTuple):
    start: datetime
    end: datetime | None
    timed: TimedRow | None = None
    stops: tuple[tuple[StopReason, float], ...] = ()
    issue: str = ""


def _times(record: Pass, timeline: Timeline, spacing_mm: float | None, crew: int) -> _Times:
    stops = [StopEntry.model_validate(stop) for stop in record.stops]
    moments = (record.started, record.ended, *(each for stop in stops for each in (stop.began, stop.ended)))
    if not all(moment is None or is_plausible(moment) for moment in moments):
        return _Times(record.started.at, record.ended.at if record.ended else None, issue=ODD_TIMES)
    start, end = timeline.at(record.started), record.ended
    if end is None:
        return _Times(start, None, issue=NOT_ENDED)
    duration_s = _seconds(timeline, record.started, end)
    spans = [
        (_seconds(timeline, record.started, stop.began), _seconds(timeline, record.started, stop.ended or end))
        for stop in stops
    ]
    held = held_up_s(spans, duration_s)
    try:
        timed = TimedRow(start, duration_s, min(sum(held), duration_s), record.length_mm, spacing_mm, crew)
    except BadQuantity:
        return _Times(start, timeline.at(end), issue=ODD_TIMES)
    stopped = tuple((StopReason(stop.reason), seconds) for stop, seconds in zip(stops, held, strict=True))
    too_long = sum(max(0.0, ended - began) for began, ended in spans) > duration_s
    return _Times(start, timed.end, timed, stopped, LONG_STOPS if too_long else "")


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
    return farm.day(row.start) if is_plausible(Moment(row.start)) else row.start.date()


def _take_turns(rows: Iterable[_Row], longest_turn_s: float) -> None:
    by_planting: dict[str, list[_Row]] = defaultdict(list)
    for row in rows:
        if row.timed:
            by_planting[row.record.planting].append(row)
    for planting in by_planting.values():
        for pulls in _pulls(planting):
            with_turns = turns([row.timed for row in pulls if row.timed], longest_turn_s)
            for row, timed in zip(pulls, with_turns, strict=True):
                row.timed = timed


def _pulls(planting: Iterable[_Row]) -> Iterable[Sequence[_Row]]:
    """Split the rows of one planting into what each transplanter pulled, one row after another.

    A row goes on with a transplanter that is free: the one its crew had last, else the one that became free last. So
    two crews side by side have turns of their own, and people who take turns at one transplanter do not wait for it
    in field time.
    """
    pulled: list[list[_Row]] = []
    for row in sorted(planting, key=lambda each: (each.start, each.record.id)):
        free = [rows for rows in pulled if rows[-1].end and rows[-1].end <= row.start]
        if free:
            max(free, key=lambda rows: (set(rows[-1].crew_ids) == set(row.crew_ids), rows[-1].end)).append(row)
        else:
            pulled.append([row])
    return pulled
