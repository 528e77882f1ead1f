"""What was written, line by line over all logs, the newest first: a page at a time, and no further than that."""

import heapq
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import groupby, islice
from typing import NamedTuple, Self

from sqlalchemy import Connection, select

from shared_models.core.clock import COUNTER_BITS, from_text, to_text
from shared_models.core.ids import is_id
from shared_models.core.revision import Revision, read
from shared_models.errors import LineRefused
from shared_models.log.log import Head
from shared_models.log.projection import RecordKey, histories
from shared_models.records.tables import Line, table_of
from shared_models.reports.audit.history import Written, history_of, repeats, without_repeats

#: lines looked at for one page, where only some are wanted
MOST_READ = 5_000
_BATCH = 200
_FIRST_CHUNK, _LARGEST_CHUNK = 20, 640
_LINE = table_of(Line)


class Position(NamedTuple):
    """A position between lines, in the order of all edits."""

    stamp: int
    device: str
    seq: int

    @classmethod
    def read(cls, text: str) -> Self | None:
        """Parse the position in a URL; None if invalid."""
        stamp, _, rest = text.partition(".")
        seq, _, device = rest.partition(".")
        try:
            place = cls(from_text(stamp), device, int(seq))
        except ValueError:
            return None
        return place if is_id(device) and place.seq > 0 else None

    def __str__(self) -> str:
        return f"{to_text(self.stamp)}.{self.seq}.{self.device}"


@dataclass(frozen=True, slots=True)
class ChangeFilter:
    """Which lines to list: of a kind, by a person (empty: no person), written from `since` to before `until`.

    None wants every one. `also` looks at a batch of lines at once, where what they say must be looked up.
    """

    kind: str | None = None
    by: str | None = None
    since: datetime | None = None
    until: datetime | None = None
    also: Callable[[Sequence[Revision]], Iterable[Revision]] | None = None

    def matches(self, lines: Sequence[Revision]) -> Iterable[Revision]:
        found = [
            line for line in lines if self.kind in (None, line.kind) and (self.by is None or self.by == (line.by or ""))
        ]
        return self.also(found) if self.also and found else found


@dataclass(frozen=True, slots=True)
class ChangePage:
    """Lines, the newest first. `older` is where to go on, None at the end; `looked_at` lines were read for it."""

    lines: tuple[Revision, ...]
    older: Position | None
    looked_at: int


def newest_changes(
    connection: Connection, logs: Iterable[Head], wanted: ChangeFilter, limit: int, before: Position | None = None
) -> ChangePage:
    """The lines of these logs that were written last, or last before a position; one that stands in several logs once.

    Each log is read from its end, a few lines at a time: its stamps rise, and so the place to begin is found by
    halving. A log whose stamps do not (no honest program writes one) may show its lines out of their order.
    """
    begin, end = _stamp(wanted.since), _stamp(wanted.until)
    start = min((place for place in (before, end and Position(end, "", 0)) if place), default=None)
    merged = heapq.merge(
        *(_backwards(connection, log, start) for log in logs), key=lambda line: line.order, reverse=True
    )
    by_stamp = groupby(merged, key=lambda line: line.stamp)
    every = (line for _, lines in by_stamp for line in reversed(without_repeats(lines)))
    found: list[Revision] = []
    looked_at, last = 0, None
    while looked_at < MOST_READ and (batch := list(islice(every, _BATCH))):
        within = [line for line in batch if begin is None or line.stamp >= begin]
        for line in wanted.matches(within):
            found.append(line)
            if len(found) > limit:
                return ChangePage(tuple(found[:limit]), Position(*found[limit - 1].order), looked_at)
        looked_at += len(within)
        last = Position(*batch[-1].order)
        if len(within) < len(batch) or len(batch) < _BATCH:
            return ChangePage(tuple(found), None, looked_at)
    return ChangePage(tuple(found), last, looked_at)


def _stamp(at: datetime | None) -> int | None:
    return None if at is None else max(0, round(at.timestamp() * 1000)) << COUNTER_BITS


def _backwards(connection: Connection, log: Head, before: Position | None) -> Iterator[Revision]:
    """The lines of a log from a position back to its first. One that is damaged on disk is left out."""
    last = log.seq if before is None else _last_before(connection, log, before)
    chunk = _FIRST_CHUNK
    while last > 0:
        lines = select(_LINE.c.seq, _LINE.c.text).where(_LINE.c.log_id == log.id, _LINE.c.seq <= last)
        rows = connection.execute(lines.order_by(_LINE.c.seq.desc()).limit(chunk)).all()
        if not rows:
            return
        for seq, text in rows:
            line = _readable(log.device, seq, text)
            if line is not None:
                yield line
        last, chunk = rows[-1].seq - 1, min(chunk * 2, _LARGEST_CHUNK)


def _last_before(connection: Connection, log: Head, before: Position) -> int:
    """The number of the last line of a log that comes before a position, 0 where none does."""
    low, high = 0, log.seq
    while low < high:
        middle = (low + high + 1) // 2
        line = _line_at_or_before(connection, log, middle)
        if line is None or line.order < before:
            low = middle
        else:
            high = line.seq - 1
    return low


def _line_at_or_before(connection: Connection, log: Head, seq: int) -> Revision | None:
    lines = select(_LINE.c.seq, _LINE.c.text).where(_LINE.c.log_id == log.id, _LINE.c.seq <= seq)
    rows = connection.execute(lines.order_by(_LINE.c.seq.desc()).limit(_FIRST_CHUNK))
    return next((line for row in rows if (line := _readable(log.device, row.seq, row.text))), None)


def _readable(device: str, seq: int, text: str) -> Revision | None:
    try:
        return read(device, seq, text)
    except LineRefused:
        return None


def describe_lines(
    connection: Connection, farm: str, lines: Sequence[Revision], open_logs: Collection[str]
) -> Mapping[tuple[str, int], Written]:
    """What each of these lines did to its record, by device and number; the lines of other logs are not counted in."""
    done: dict[tuple[str, int], Written] = {}
    wanted = {RecordKey(line.kind, line.record) for line in lines}
    for key, revisions in histories(connection, farm, {key.id for key in wanted}).items():
        if key in wanted:
            visible = [line for line in revisions if line.device in open_logs]
            for written, same in zip(history_of(key, visible), repeats(visible), strict=True):
                done |= {(each.device, each.seq): replace(written, device=each.device, seq=each.seq) for each in same}
    return done
