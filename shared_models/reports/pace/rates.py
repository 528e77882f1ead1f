"""How fast did planting go: by row, bed, crop, crew, person, hour, day?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, fields
from datetime import datetime, timedelta
from enum import StrEnum

from shared_models.core.vocabulary import StopReason
from shared_models.i18n.localizer import Localizer
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.common.filters import Filters
from shared_models.reports.rows.rows import LoggedRow, day_of, load_rows
from shared_models.trade.pace.pace import StopTotal, TimedRow, Work, by_hour, stops_by_reason, work

UNKNOWN_SPACING = "unknown spacing"


class By(StrEnum):
    """What each line of a report of rates stands for."""

    ROW = "row"
    PLANTING = "planting"
    BED = "bed"
    CROP = "crop"
    SPACING = "spacing"
    CREW = "crew"
    PERSON = "person"
    HOUR = "hour"
    DAY = "day"
    WEEK = "week"
    SEASON = "season"


#: By these a row is shared out among several lines; else it stands in one as a whole.
SHARED_OUT = frozenset({By.PERSON, By.HOUR})


@dataclass(frozen=True, slots=True)
class RateLine:
    """A line of the report: its work, and what was noted in it. A part of a row counts in proportion.

    `key` names what the line stands for (an id, a day, an hour, a spacing); `label` is for people. Where the spacing of
    some row is not known, `plants_known` is False and the plants of `work` lack that row.
    """

    key: str
    label: str
    work: Work = field(default_factory=Work)
    misses: float = 0.0
    doubles: float = 0.0
    filled: float = 0.0
    plants_known: bool = True

    def plus(self, other: RateLine) -> RateLine:
        return together(self.key, self.label, (self, other))

    @property
    def plants(self) -> float | None:
        return self.work.plants if self.plants_known else None

    @property
    def plants_per_h(self) -> float | None:
        return self.work.plants_per_h if self.plants_known else None

    @property
    def plants_per_person_h(self) -> float | None:
        return self.work.plants_per_person_h if self.plants_known else None


@dataclass(frozen=True, slots=True)
class RatesReport:
    """Lines that sum to the total, the stops in them, the rows counted and those not (open, or with odd times)."""

    by: By
    lines: tuple[RateLine, ...]
    total: RateLine
    stops: tuple[tuple[StopReason, StopTotal], ...]
    rows: tuple[LoggedRow, ...]
    not_counted: tuple[LoggedRow, ...]


def rates(context: ReportContext, by: By, filters: Filters | None = None) -> RatesReport:
    """The rates of the rows selected, one line for each row, bed, person or whatever `by` is."""
    return rates_of(load_rows(context, filters or Filters()), by, context.farm)


def rates_of(rows: Sequence[LoggedRow], by: By, farm: FarmFacts) -> RatesReport:
    """The rates of rows already loaded."""
    counted = [row for row in rows if row.timed]
    every = [part for _, part in parts_of(counted, by, farm)]
    parts: dict[str, list[RateLine]] = defaultdict(list)
    for part in every:
        parts[part.key].append(part)
    lines = [together(key, inside[0].label, inside) for key, inside in parts.items()]
    wholes = every if by not in SHARED_OUT else [part for _, part in parts_of(counted, By.ROW, farm)]
    return RatesReport(
        by,
        tuple(sorted(lines, key=_order(by))),
        together("total", "total", wholes),
        tuple(stops_by_reason(stop for row in counted for stop in row.stops).items()),
        tuple(counted),
        tuple(row for row in rows if not row.timed),
    )


def together(key: str, label: str, parts: Sequence[RateLine]) -> RateLine:
    """One line with the figures of all these parts."""
    return RateLine(
        key,
        label,
        Work.together(part.work for part in parts),
        sum((part.misses for part in parts), 0.0),
        sum((part.doubles for part in parts), 0.0),
        sum((part.filled for part in parts), 0.0),
        all(part.plants_known for part in parts),
    )


def parts_of(rows: Iterable[LoggedRow], by: By, farm: FarmFacts) -> Iterable[tuple[LoggedRow, RateLine]]:
    """What each counted row gives to which line."""
    for row in rows:
        if row.timed:
            for part in _LINES_OF[by](row, row.timed, farm):
                yield row, part


def _order(by: By) -> Callable[[RateLine], tuple[float | str, ...]]:
    """Crops and people by name, spacings by width, hours by the clock; all else stays in the order of the work."""
    if by in (By.CROP, By.CREW, By.PERSON):
        return lambda line: (line.label.casefold(), line.key)
    if by is By.SPACING:
        return lambda line: (float(line.key or "inf"),)
    return (lambda line: (line.key,)) if by is By.HOUR else (lambda _: ())


def _line(row: LoggedRow, key: str, label: str, work_done: Work, share: float = 1.0) -> RateLine:
    known = row.place.spacing_mm is not None
    return RateLine(key, label, work_done, row.misses * share, row.doubles * share, row.filled * share, known)


def _whole(row: LoggedRow, timed: TimedRow, key: str, label: str) -> RateLine:
    return _line(row, key, label, work(timed))


def _by_row(row: LoggedRow, timed: TimedRow, _farm: FarmFacts) -> Iterable[RateLine]:
    yield _whole(row, timed, row.id, row.label)


def _by_planting(row: LoggedRow, timed: TimedRow, _farm: FarmFacts) -> Iterable[RateLine]:
    yield _whole(row, timed, row.place.planting_id, row.place.label)


def _by_bed(row: LoggedRow, timed: TimedRow, _farm: FarmFacts) -> Iterable[RateLine]:
    yield _whole(row, timed, row.place.bed_id or "", row.place.bed)


def _by_crop(row: LoggedRow, timed: TimedRow, _farm: FarmFacts) -> Iterable[RateLine]:
    yield _whole(row, timed, row.place.crop.casefold(), row.place.crop)


def _by_spacing(row: LoggedRow, timed: TimedRow, farm: FarmFacts) -> Iterable[RateLine]:
    spacing_mm = row.place.spacing_mm
    if spacing_mm is None:
        yield _whole(row, timed, "", UNKNOWN_SPACING)
    else:
        yield _whole(row, timed, str(spacing_mm), Localizer(units=farm.units).spacing(spacing_mm))


def _by_crew(row: LoggedRow, timed: TimedRow, _farm: FarmFacts) -> Iterable[RateLine]:
    yield _whole(row, timed, " ".join(sorted(row.crew_ids)), " + ".join(sorted(row.crew)))


def _by_person(row: LoggedRow, timed: TimedRow, _farm: FarmFacts) -> Iterable[RateLine]:
    """Everybody of the crew gets an equal share of length and time, so that people's lines sum to the total."""
    share = 1.0 / len(row.crew)
    equal_share = _scaled(work(timed), share)
    for person, name in zip(row.crew_ids or ("",), row.crew, strict=True):
        yield _line(row, person, name, equal_share, share)


def _scaled(whole: Work, share: float) -> Work:
    return Work(*(getattr(whole, part.name) * share for part in fields(whole)))


def _by_hour(row: LoggedRow, timed: TimedRow, farm: FarmFacts) -> Iterable[RateLine]:
    for hour, part in by_hour([timed], farm.zone).items():
        key, label = _hour_of_day(hour, farm)
        yield _line(row, key, label, part, part.rows)


def _hour_of_day(hour: datetime, farm: FarmFacts) -> tuple[str, str]:
    """The hour on the farm's clock. The hour that an autumn night has twice is marked."""
    local = farm.local(hour)
    clock = f"{local:%H:%M}"
    return (f"{clock} again", f"{clock} again (clock set back)") if local.fold else (clock, clock)


def _by_day(row: LoggedRow, timed: TimedRow, farm: FarmFacts) -> Iterable[RateLine]:
    day = day_of(row, farm).isoformat()
    yield _whole(row, timed, day, day)


def _by_week(row: LoggedRow, timed: TimedRow, farm: FarmFacts) -> Iterable[RateLine]:
    day = day_of(row, farm)
    monday = (day - timedelta(days=day.weekday())).isoformat()
    yield _whole(row, timed, monday, monday)


def _by_season(row: LoggedRow, timed: TimedRow, farm: FarmFacts) -> Iterable[RateLine]:
    season = farm.season(day_of(row, farm))
    yield _whole(row, timed, season, season)


_LINES_OF: dict[By, Callable[[LoggedRow, TimedRow, FarmFacts], Iterable[RateLine]]] = {
    By.ROW: _by_row,
    By.PLANTING: _by_planting,
    By.BED: _by_bed,
    By.CROP: _by_crop,
    By.SPACING: _by_spacing,
    By.CREW: _by_crew,
    By.PERSON: _by_person,
    By.HOUR: _by_hour,
    By.DAY: _by_day,
    By.WEEK: _by_week,
    By.SEASON: _by_season,
}
