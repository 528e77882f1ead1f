"""How fast did the rows go, per hour and per person, and where did the time go?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, tzinfo

from shared_models.core.units import SECONDS_PER_HOUR
from shared_models.core.vocabulary import StopReason
from shared_models.errors import BadQuantity
from shared_models.trade.pace.hours import clock_hours
from shared_models.trade.validation import not_negative, positive, within

#: A longer gap between two rows is a break (meal, other work), not turning. Common practice, no source; the farm's
#: setting.
LONGEST_TURN_S = 1800.0
#: No row is open for more than a year; a longer time is a clock fault.
LONGEST_ROW_S = 366 * 24 * SECONDS_PER_HOUR


@dataclass(frozen=True, slots=True)
class TimedRow:
    """One pass down one row as the pace calculations see it.

    `duration_s` runs from start to end with the stops inside; `stopped_s` is the sum of the stops; `turn_s` is the
    turning before this row that belongs to it; `crew` is the number of people. Without `spacing_mm` no plant is
    counted. `start` may come in any zone and is kept in UTC.
    """

    start: datetime
    duration_s: float
    stopped_s: float
    length_mm: float
    spacing_mm: float | None
    crew: int
    turn_s: float = 0.0

    def __post_init__(self) -> None:
        if self.start.utcoffset() is None:
            raise BadQuantity("start", self.start, "a time with its zone")
        # Two times in one zone subtract by the wall clock; in UTC they subtract by real time.
        object.__setattr__(self, "start", self.start.astimezone(UTC))
        within("duration_s", self.duration_s, 0, LONGEST_ROW_S)
        within("stopped_s", self.stopped_s, 0, self.duration_s)
        not_negative("length_mm", self.length_mm)
        if self.spacing_mm is not None:
            positive("spacing_mm", self.spacing_mm)
        if not self.crew >= 1:
            raise BadQuantity("crew", self.crew, "1 or more")
        within("turn_s", self.turn_s, 0, LONGEST_ROW_S)

    @property
    def end(self) -> datetime:
        """When the row was finished, in UTC."""
        return self.start + timedelta(seconds=self.duration_s)


@dataclass(frozen=True, slots=True)
class Work:
    """An additive total of work; a part of a row counts in proportion.

    Rates are lengths and plants per hour of field time unless they say "working" (row time alone, without stops and
    turns); a rate over no time at all is None.
    """

    rows: float = 0.0
    length_mm: float = 0.0
    plants: float = 0.0
    row_time_s: float = 0.0
    stop_time_s: float = 0.0
    turn_time_s: float = 0.0
    person_s: float = 0.0

    def __add__(self, other: Work) -> Work:
        return Work.together((self, other))

    @classmethod
    def together(cls, parts: Iterable[Work]) -> Work:
        """All of these added up."""
        figures = [
            (each.rows, each.length_mm, each.plants, each.row_time_s, each.stop_time_s, each.turn_time_s, each.person_s)
            for each in parts
        ]
        return cls(*(sum(column, 0.0) for column in zip(*figures, strict=True)))

    @property
    def field_time_s(self) -> float:
        """Row, stop and turn time together."""
        return self.row_time_s + self.stop_time_s + self.turn_time_s

    @property
    def working_mm_per_h(self) -> float | None:
        """Length per hour of row time: how fast the chain is pulled while it moves."""
        return _per_hour(self.length_mm, self.row_time_s)

    @property
    def effective_mm_per_h(self) -> float | None:
        """Length per hour of field time: what an hour in the field really brings."""
        return _per_hour(self.length_mm, self.field_time_s)

    @property
    def field_efficiency(self) -> float | None:
        """Effective rate / working rate, which is row time / field time (0 to 1)."""
        return self.row_time_s / self.field_time_s if self.field_time_s else None

    @property
    def mm_per_person_h(self) -> float | None:
        """Length per hour of one person's field time."""
        return _per_hour(self.length_mm, self.person_s)

    @property
    def plants_per_h(self) -> float | None:
        """Plants per hour of field time."""
        return _per_hour(self.plants, self.field_time_s)

    @property
    def plants_per_person_h(self) -> float | None:
        """Plants per hour of one person's field time."""
        return _per_hour(self.plants, self.person_s)


@dataclass(frozen=True, slots=True)
class StopTotal:
    """All stops for one reason: how long together, and how many."""

    seconds: float = 0.0
    count: int = 0


def turns(rows: Sequence[TimedRow], longest_turn_s: float = LONGEST_TURN_S) -> list[TimedRow]:
    """Assign to each row of one team in one planting the turning time before it.

    The rows come back in the order of their starts. A gap longer than the longest turn is a break, not field time.

    Formula: turn = start - latest end of the rows before; 0 for the first row, for rows that overlap, and for a gap
        above the longest turn
    Units: seconds.
    Source: Field time with turns as in ASABE EP496; that a gap above 30 minutes is a break is common practice, no
        source, and a setting of the farm.
    Raises: BadQuantity: when the longest turn is negative or not finite.
    """
    not_negative("longest_turn_s", longest_turn_s)
    timed: list[TimedRow] = []
    latest_end: datetime | None = None
    for row in sorted(rows, key=lambda each: each.start):
        gap_s = (row.start - latest_end).total_seconds() if latest_end else 0.0
        timed.append(replace(row, turn_s=gap_s if 0.0 < gap_s <= longest_turn_s else 0.0))
        latest_end = max(latest_end or row.end, row.end)
    return timed


def work(row: TimedRow) -> Work:
    """Count one row as work.

    Formula: row time = duration - stops; plants = length / spacing; person seconds = (duration + turn) x crew
    Units: millimeters, seconds, plants.
    Source: Time elements of field efficiency in ASABE EP496; one plant per cell, the row full to the margin (Bailey,
        Farm and Garden Rule-Book, 1911).
    """
    return Work(
        rows=1.0,
        length_mm=row.length_mm,
        plants=row.length_mm / row.spacing_mm if row.spacing_mm else 0.0,
        row_time_s=row.duration_s - row.stopped_s,
        stop_time_s=row.stopped_s,
        turn_time_s=row.turn_s,
        person_s=(row.duration_s + row.turn_s) * row.crew,
    )


def by_hour(rows: Iterable[TimedRow], zone: tzinfo) -> dict[datetime, Work]:
    """Share the work out over the hours of the farm's own clock, earliest first.

    A row that crosses a full hour counts in both, in proportion to time: its length, plants, row time and stops evenly
    between start and end, its turn over the time just before the start. The key is the first moment of the hour on the
    farm's clock with its offset from UTC, so both hours from 01:00 of an autumn clock change are kept, and a day has
    23, 24 or 25 hours.

    Formula: part of a row = row x (its time inside the hour / its duration); the parts sum to the row
    Units: millimeters, seconds, plants.
    Source: Plain proportion, common practice, no source; offsets from the IANA time zone database.
    """
    hours: defaultdict[datetime, Work] = defaultdict(Work)
    for row in rows:
        whole = work(row)
        for hour, share in clock_hours(row.start, row.duration_s, zone):
            hours[hour] += Work(
                rows=share,
                length_mm=whole.length_mm * share,
                plants=whole.plants * share,
                row_time_s=whole.row_time_s * share,
                stop_time_s=whole.stop_time_s * share,
                person_s=row.duration_s * row.crew * share,
            )
        if row.turn_s:
            for hour, share in clock_hours(row.start - timedelta(seconds=row.turn_s), row.turn_s, zone):
                hours[hour] += Work(turn_time_s=row.turn_s * share, person_s=row.turn_s * row.crew * share)
    return dict(sorted(hours.items()))


def stops_by_reason(stops: Iterable[tuple[StopReason, float]]) -> dict[StopReason, StopTotal]:
    """Add up the stops for each reason, the reason that cost most time first.

    Formula: seconds = sum over the stops of one reason; equal times in the order of their words
    Units: seconds.
    Source: Plain sums, common practice, no source.
    Raises: BadQuantity: when a stop is negative or not finite.
    """
    totals: defaultdict[StopReason, StopTotal] = defaultdict(StopTotal)
    for reason, seconds in stops:
        not_negative("seconds", seconds)
        totals[reason] = StopTotal(totals[reason].seconds + seconds, totals[reason].count + 1)
    return dict(sorted(totals.items(), key=lambda item: (-item[1].seconds, item[0])))


def _per_hour(quantity: float, seconds: float) -> float | None:
    return quantity / seconds * SECONDS_PER_HOUR if seconds else None
