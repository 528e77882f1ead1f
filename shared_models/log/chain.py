"""Read a log along its chain: which lines are not what was written, and which the lines around them put right."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import Enum, auto
from itertools import zip_longest
from typing import TYPE_CHECKING, Any, NamedTuple

from sqlalchemy import Connection, bindparam, func, select

from shared_models.core.revision import digest, read
from shared_models.errors import LineRefused
from shared_models.log.prepared_statements import Prepared
from shared_models.records.tables import Line, table_of

if TYPE_CHECKING:
    from shared_models.log.log import Head

#: lines that are read at once
SLICE = 1000

_LINE = table_of(Line)
_LINES = Prepared(
    select(_LINE.c.seq, _LINE.c.record, _LINE.c.text, _LINE.c.digest)
    .where(_LINE.c.log_id == bindparam("log"), _LINE.c.seq > bindparam("after"), _LINE.c.seq <= bindparam("until"))
    .order_by(_LINE.c.seq)
)
_NEXT = Prepared(
    select(func.min(_LINE.c.seq)).where(
        _LINE.c.log_id == bindparam("log"), _LINE.c.seq > bindparam("after"), _LINE.c.seq <= bindparam("until")
    )
)


class Fault(Enum):
    """What is wrong with a line."""

    #: it is missing, or its text is not what was written: another device has to send it again
    LOST = auto()
    #: its text is right, but not its digest or the record it is found by: both follow from the text
    MISFILED = auto()
    #: it fits the chain, but is no line that this program reads
    UNREADABLE = auto()
    #: the log does not end where its lines end
    END = auto()


class Finding(NamedTuple):
    """A fault of the lines from `first` to `last`; for a misfiled line the digest that it should have."""

    fault: Fault
    first: int
    last: int
    digest: bytes | None = None


class Position(NamedTuple):
    """A place in a log: after line `seq`, whose digest is `digest`; None where it cannot be known."""

    seq: int
    digest: bytes | None


class _Stored(NamedTuple):
    seq: int
    record: str
    text: str
    digest: bytes


def start_of(log: Head) -> Position:
    """The place before the first line of a log."""
    return Position(log.base_seq, log.base_digest)


def findings(connection: Connection, log: Head) -> Iterator[Finding]:
    """Everything that is wrong with a log, in its order."""
    at = start_of(log)
    found: list[Finding] = []
    while at.seq < log.seq:
        found, at = findings_after(connection, log, at, SLICE)
        yield from found
    end = select(func.max(_LINE.c.seq)).where(_LINE.c.log_id == log.id)
    beyond = (connection.execute(end).scalar_one() or log.base_seq) > log.seq
    if beyond:
        yield Finding(Fault.END, log.seq + 1, log.seq + 1)
    elif at.digest != log.digest and (not found or found[-1].last < log.seq):
        yield Finding(Fault.END, max(log.seq, log.base_seq + 1), log.seq)


def lost_lines(connection: Connection, log: Any) -> Iterator[int]:
    """The held lines of a log that are not what was written. `log` has the columns of `Log`."""
    for finding in findings(connection, log):
        if finding.fault is Fault.LOST and finding.first == finding.last:
            yield finding.first


def findings_after(connection: Connection, log: Head, at: Position, most: int) -> tuple[list[Finding], Position]:
    """What is wrong with the next lines, at most so many, and the place after them."""
    end = min(at.seq + most, log.seq)
    values = {"log": log.id, "after": at.seq, "until": min(end + 1, log.seq)}
    lines = [_sane(row) for row in _LINES.run(connection, values)]
    found: list[Finding] = []
    for line, following in zip_longest(lines, lines[1:]):
        if line.seq > end:
            break
        if line.seq != at.seq + 1:
            found.append(Finding(Fault.LOST, at.seq + 1, line.seq - 1))
            at = Position(line.seq - 1, None)
        finding, at = _check(log, at, line, following)
        found += [finding] if finding else []
    if at.seq < end:
        ((following,),) = _NEXT.run(connection, {"log": log.id, "after": at.seq, "until": log.seq})
        found.append(Finding(Fault.LOST, at.seq + 1, (following or log.seq + 1) - 1))
        at = Position(found[-1].last, None)
    return found, at


def _sane(row: Sequence[Any]) -> _Stored:
    """A line as it is stored; a damaged file may hold anything in a column."""
    seq, record, text, stored = row
    return _Stored(seq, record, text if isinstance(text, str) else "", stored if isinstance(stored, bytes) else b"")


def _check(log: Head, at: Position, line: _Stored, following: _Stored | None) -> tuple[Finding | None, Position]:
    seq, record, text, stored = line
    if at.digest is None:  # it is checked once the line before it is back; the lines after it go by its digest
        return None, Position(seq, stored)
    own = digest(at.digest, text)
    if own != stored:
        if not _leads_on(log, seq, stored, following) and _leads_on(log, seq, own, following):
            return Finding(Fault.MISFILED, seq, seq, own), Position(seq, own)
        return Finding(Fault.LOST, seq, seq), Position(seq, stored)
    try:
        misfiled = read(log.device, seq, text).record != record
    except LineRefused:
        return Finding(Fault.UNREADABLE, seq, seq), Position(seq, own)
    return Finding(Fault.MISFILED, seq, seq, own) if misfiled else None, Position(seq, own)


def _leads_on(log: Head, seq: int, own: bytes, following: _Stored | None) -> bool:
    """Whether the next line, or the end of the log, follows from this digest of line `seq`."""
    if following is None:
        return seq == log.seq and own == log.digest
    return following.seq == seq + 1 and digest(own, following.text) == following.digest
