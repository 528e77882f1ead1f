"""How does it go against what is usual: for this crew, at this hour, on this farm, with the same crop and spacing?"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import NamedTuple

from shared_models.core.units import SECONDS_PER_HOUR
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.common.filters import Filters
from shared_models.reports.pace.rates import By, RateLine, RatesReport, rates_of
from shared_models.reports.rows.rows import LoggedRow, day_of, load_rows
from shared_models.trade.pace.pace import Work
from shared_models.trade.pace.usual import usual_of_mix, usual_rate

#: So far back earlier work is looked for: a season ago hands were other hands. Common practice, no source.
LOOK_BACK = timedelta(days=365)
#: Less field time than this is no day (or bed) to go by. Common practice, no source.
LEAST_S = 300.0
#: What is compared with its own past. A bed, a crop or a row is compared with all of the farm.
_OWN_PAST = frozenset({By.CREW, By.PERSON, By.HOUR})


class Measure(StrEnum):
    """Hourly output: row length or plants, for everybody at work together or for each person."""

    ROW = "row"
    PLANTS = "plants"
    ROW_PERSON = "row_person"
    PLANTS_PERSON = "plants_person"

    @property
    def of_plants(self) -> bool:
        return self in (Measure.PLANTS, Measure.PLANTS_PERSON)

    def amount(self, work: Work) -> float:
        return work.plants if self.of_plants else work.length_mm

    def seconds(self, work: Work) -> float:
        """Field time, or everybody's field time together."""
        return work.field_time_s if self in (Measure.ROW, Measure.PLANTS) else work.person_s

    def rate(self, line: RateLine) -> float | None:
        return None if self.of_plants and not line.plants_known else self.per_hour(line.work)

    def per_hour(self, work: Work) -> float | None:
        seconds = self.seconds(work)
        return self.amount(work) / seconds * SECONDS_PER_HOUR if seconds else None


class UsualRate(NamedTuple):
    """A usual rate, in millimeters or plants an hour, and how many earlier days (or plantings) say so."""

    rate: float
    times: int


@dataclass(frozen=True, slots=True)
class AgainstUsual:
    """Rates, and beside them what would be usual for the same work.

    A line is missing from `usual`, and `total` is None, where some of the work has no like before it.
    """

    measure: Measure
    report: RatesReport
    usual: Mapping[str, UsualRate]
    total: UsualRate | None

    def share(self, line: RateLine) -> float | None:
        """The line's (or the total's) rate as a share of the usual one."""
        usual = self.total if line is self.report.total else self.usual.get(line.key)
        rate = self.measure.rate(line)
        return None if usual is None or rate is None else rate / usual.rate


def rows_before(context: ReportContext, day: date) -> list[LoggedRow]:
    """What there is to compare a day with: the rows of the days before it, as far back as counts."""
    return load_rows(context, Filters(since=day - LOOK_BACK, until=day - timedelta(days=1)))


def beds_before(context: ReportContext, rows: Sequence[LoggedRow]) -> list[LoggedRow]:
    """What there is to compare a planting's rows with: the rows that were begun before them in other plantings."""
    if not rows:
        return []
    begun, planting = min(row.start for row in rows), rows[0].place.planting_id
    day = context.farm.day(begun)
    earlier = load_rows(context, Filters(since=day - LOOK_BACK, until=day))
    return [row for row in earlier if row.start < begun and row.place.planting_id != planting]


def against_usual(
    now: Sequence[LoggedRow],
    before: Sequence[LoggedRow],
    by: By,
    farm: FarmFacts,
    measure: Measure = Measure.ROW,
    each: By = By.DAY,
) -> AgainstUsual:
    """The rates of some rows against the usual ones of earlier rows: the middle one of `each` day, or planting.

    Like is compared with like: the same crop at the same spacing; crews, people and hours of the day with themselves.
    """
    past = _past(before, by, farm, measure, each)
    parts: dict[str, list[_Part]] = defaultdict(list)
    for kind, rows in _by_kind(now).items():
        for line in rates_of(rows, by, farm).lines:
            parts[line.key].append(_Part(measure.amount(line.work), past.get((kind, _whose(by, line)), {})))
    usual = {key: found for key, inside in parts.items() if (found := _usual(inside))}
    every = [part for inside in parts.values() for part in inside]
    return AgainstUsual(measure, rates_of(now, by, farm), usual, _usual(every))


#: a crop (by its name) and a spacing; None where the sowing is not known
_Kind = tuple[str, float] | None


class _Part(NamedTuple):
    """An amount of work of one kind, and the earlier rates of the like of it, by day or planting."""

    amount: float
    past: Mapping[str, float]


def _past(
    before: Iterable[LoggedRow], by: By, farm: FarmFacts, measure: Measure, each: By
) -> dict[tuple[_Kind, str], dict[str, float]]:
    """Earlier rates by kind and by whom, one for each day or planting. What is of no known kind is like nothing."""
    times: dict[str, list[LoggedRow]] = defaultdict(list)
    for row in before:
        times[row.place.planting_id if each is By.PLANTING else day_of(row, farm).isoformat()].append(row)
    found: dict[tuple[_Kind, str], dict[str, float]] = defaultdict(dict)
    for time, rows in times.items():
        for kind, alike in _by_kind(rows).items():
            report = rates_of(alike, by, farm)
            for line in report.lines if by in _OWN_PAST else (report.total,):
                rate = measure.per_hour(line.work)
                if kind and rate and line.work.field_time_s >= LEAST_S:
                    found[kind, _whose(by, line)][time] = rate
    return found


def _by_kind(rows: Iterable[LoggedRow]) -> dict[_Kind, list[LoggedRow]]:
    kinds: dict[_Kind, list[LoggedRow]] = defaultdict(list)
    for row in rows:
        spacing_mm = row.place.spacing_mm
        kinds[None if spacing_mm is None else (row.place.crop.casefold(), spacing_mm)].append(row)
    return kinds


def _whose(by: By, line: RateLine) -> str:
    return line.key if by in _OWN_PAST else ""


def _usual(parts: Iterable[_Part]) -> UsualRate | None:
    """The usual rate of a mix; turns alone, without any row, need no like."""
    worked = [part for part in parts if part.amount]
    if not all(part.past for part in worked):
        return None
    rate = usual_of_mix((part.amount, usual_rate([*part.past.values()])) for part in worked)
    return UsualRate(rate, len({time for part in worked for time in part.past})) if rate else None
