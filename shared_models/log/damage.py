"""Look for damaged lines a slice at a time, put right what follows from the lines around them, and note the others.

The lines noted are asked for at each sync (`wanted`), and put back when a device sends them (`repair.py`).
"""

from collections.abc import Iterable
from typing import NamedTuple

from sqlalchemy import Connection, Engine, bindparam, delete, insert, select, update

from shared_models.core.revision import read
from shared_models.log.chain import SLICE, Fault, Finding, Position, findings_after, start_of
from shared_models.log.log import Head, find, heads
from shared_models.log.prepared_statements import Prepared
from shared_models.log.store import reading, writing
from shared_models.records.tables import DamagedLine, Line, Log, table_of

#: damaged lines that are noted of one slice: nobody asks for more than that at once
MOST_NOTED = 1000

_LINE, _LOG, _DAMAGED = table_of(Line), table_of(Log), table_of(DamagedLine)
_NOTED = Prepared(
    select(_DAMAGED.c.seq)
    .where(
        _DAMAGED.c.log_id == bindparam("log"),
        _DAMAGED.c.seq > bindparam("after"),
        _DAMAGED.c.seq <= bindparam("until"),
    )
    .order_by(_DAMAGED.c.seq)
)


class Place(NamedTuple):
    """How far a check of all logs is: in this log where there is a position in it, else after all of this log."""

    device: str = ""
    position: Position | None = None


START = Place()


class Damage(NamedTuple):
    """A damaged line of a log that others may have."""

    device: str
    seq: int


def check_logs(engine: Engine, farm: str, at: Place, most: int) -> Place:
    """Check at most so many lines after a place; return the place after them, START at the end of all logs.

    Writes only when something is damaged that was not known to be, or the other way round.
    """
    while most > 0:
        with reading(engine) as connection:
            log = next((log for log in heads(connection, farm) if _is_next(log, at)), None)
            if log is None:
                return START
            begin = at.position if log.device == at.device and at.position else start_of(log)
            found, end = findings_after(connection, log, begin, most)
            changed = _repairs(found) or _lost(found) != _noted(connection, log, begin, end)
        if changed:
            with writing(engine, farm) as connection:
                end = _note(connection, log, begin, most)
        most -= end.seq - begin.seq
        at = Place(log.device, end if end.seq < log.seq else None)
    return at


def _is_next(log: Head, at: Place) -> bool:
    return log.device > at.device or (log.device == at.device and at.position is not None)


def check_log(engine: Engine, farm: str, device: str) -> None:
    """Check all of one log."""
    with reading(engine) as connection:
        log = find(connection, device)
    at = Place(device, start_of(log) if log else None)
    while at.device == device and at.position is not None:
        at = check_logs(engine, farm, at, SLICE)


def _note(connection: Connection, seen: Head, begin: Position, most: int) -> Position:
    """Check the same lines again, now that nobody writes, and keep what is found."""
    log = find(connection, seen.device)
    if log is None:
        return Position(seen.seq, None)
    found, end = findings_after(connection, log, begin, most)
    for seq, own_digest in _repairs(found):
        _file(connection, log, seq, own_digest)
    lost = _lost(found)
    forget(connection, log, begin.seq, end.seq)
    if lost:
        connection.execute(insert(_DAMAGED), [{"log_id": log.id, "seq": seq} for seq in lost])
    return end


def _repairs(found: Iterable[Finding]) -> list[tuple[int, bytes]]:
    return [(each.first, each.digest) for each in found if each.fault is Fault.MISFILED and each.digest is not None]


def _file(connection: Connection, log: Head, seq: int, own_digest: bytes) -> None:
    this = (_LINE.c.log_id == log.id) & (_LINE.c.seq == seq)
    text = connection.execute(select(_LINE.c.text).where(this)).scalar_one()
    record = read(log.device, seq, text).record
    connection.execute(update(_LINE).where(this).values(record=record, digest=own_digest))


def _lost(found: Iterable[Finding]) -> list[int]:
    ranges = (range(each.first, each.last + 1) for each in found if each.fault is Fault.LOST)
    return [seq for lines in ranges for seq in lines[:MOST_NOTED]][:MOST_NOTED]


def _noted(connection: Connection, log: Head, begin: Position, end: Position) -> list[int]:
    return [seq for (seq,) in _NOTED.run(connection, {"log": log.id, "after": begin.seq, "until": end.seq})]


def forget(connection: Connection, log: Head, after: int, until: int) -> None:
    """Lines after `after`, up to `until`, are not damaged any more, or not in this log."""
    noted = (_DAMAGED.c.log_id == log.id) & (_DAMAGED.c.seq > after) & (_DAMAGED.c.seq <= until)
    connection.execute(delete(_DAMAGED).where(noted))


def damaged(connection: Connection, farm: str) -> list[Damage]:
    """The damaged lines of the farm that are known here; those of logs that stay in the office too."""
    lines = select(_LOG.c.device, _DAMAGED.c.seq).join_from(_DAMAGED, _LOG, _LOG.c.id == _DAMAGED.c.log_id)
    found = connection.execute(lines.where(_LOG.c.farm_id == farm).order_by(_LOG.c.device, _DAMAGED.c.seq))
    return [Damage(*row) for row in found]
