"""The logs: their ends, and runs of lines for others.

All functions work inside a transaction of `store.writing` or `store.reading`; the caller decides when it is committed.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, insert, select, update

from shared_models.core import clock
from shared_models.core.revision import Revision, digest, root
from shared_models.errors import OtherFarm
from shared_models.log.prepared_statements import Prepared, PreparedForIds
from shared_models.records.tables import DERIVED, Line, Log, SetAside, SignedHead, table_of

Holds = dict[str, tuple[int, str]]
"""What a side holds: device -> (number of lines, digest of the last in hexadecimal)."""

_LOG, _LINE, _SIGNED = table_of(Log), table_of(Line), table_of(SignedHead)
_PAGE_LINES = 1000
#: about what a header says of one run
_RUN_BYTES = 512


class Span(NamedTuple):
    """A range of logs by id: from `first` on, and before `until` where that is set."""

    first: str = ""
    until: str | None = None

    def covers(self, device: str) -> bool:
        return self.first <= device and (self.until is None or device < self.until)


ALL = Span()


class Head(NamedTuple):
    """The end of one log in this store. The fields are the columns of `Log`."""

    id: int
    farm_id: str
    device: str
    origin: str
    key: bytes | None
    base_seq: int
    base_digest: bytes
    private: bool
    seq: int
    digest: bytes
    stamp: int


class Branch(NamedTuple):
    """Where a log begins that left another one at a fork: that log's device, and its last line in common."""

    origin: str
    seq: int
    digest: str


@dataclass(frozen=True, slots=True)
class Run:
    """Consecutive lines of one log: those after line `after`, and the digest of the last, signed by its device."""

    device: str
    after: int
    texts: tuple[str, ...]
    digest: str
    key: bytes = b""
    signature: bytes = b""
    branch: Branch | None = None
    #: line number and signature of signed heads before the last
    signed_before: tuple[tuple[int, bytes], ...] = ()

    @property
    def end(self) -> int:
        """The number of the last line."""
        return self.after + len(self.texts)

    @property
    def size(self) -> int:
        """Its text in bytes."""
        return sum(len(text.encode()) for text in self.texts)

    @property
    def origin(self) -> str:
        """The device that must have signed it."""
        return self.branch.origin if self.branch else self.device


_FIND_LOG = Prepared(select(*(_LOG.c[name] for name in Head._fields)).where(_LOG.c.device == bindparam("device")))
_FIND_LOGS = PreparedForIds(select(*(_LOG.c[name] for name in Head._fields)), _LOG.c.device)
_HEADS = Prepared(
    select(*(_LOG.c[name] for name in Head._fields)).where(_LOG.c.farm_id == bindparam("farm")).order_by(_LOG.c.device)
)
_CLOCKS = Prepared(select(_LOG.c.stamp).where(_LOG.c.farm_id == bindparam("farm")))
_MOVE_HEAD = Prepared(
    update(_LOG)
    .where(_LOG.c.id == bindparam("log"))
    .values(seq=bindparam("to_seq"), digest=bindparam("to_digest"), stamp=bindparam("to_stamp"))
)
ADD_LINES = Prepared(insert(_LINE))
_SIGNED_AFTER = Prepared(
    select(_SIGNED.c.seq, _SIGNED.c.signature)
    .where(_SIGNED.c.log_id == bindparam("log"), _SIGNED.c.seq > bindparam("after"))
    .order_by(_SIGNED.c.seq)
)
_DIGEST = Prepared(select(_LINE.c.digest).where(_LINE.c.log_id == bindparam("log"), _LINE.c.seq == bindparam("seq")))
_LINES_AFTER = Prepared(
    select(_LINE.c.text, _LINE.c.digest)
    .where(_LINE.c.log_id == bindparam("log"), _LINE.c.seq > bindparam("after"), _LINE.c.seq <= bindparam("until"))
    .order_by(_LINE.c.seq)
)


def write_line(connection: Connection, log: Head, revision: Revision, text: str) -> Head:
    """Store one line at the end of a log and return the new head. Projections are up to the caller."""
    line = line_row(log, revision, text, digest(log.digest, text))
    ADD_LINES.run(connection, line)
    stamp = clock.observe(log.stamp, revision.stamp)
    return move_head(connection, log._replace(seq=revision.seq, digest=line["digest"], stamp=stamp))


def line_row(log: Head, revision: Revision, text: str, own_digest: bytes) -> dict[str, Any]:
    """A line as it is stored."""
    return {"log_id": log.id, "seq": revision.seq, "record": revision.record, "text": text, "digest": own_digest}


def move_head(connection: Connection, log: Head) -> Head:
    """Store the end of a log."""
    to = {"log": log.id, "to_seq": log.seq, "to_digest": log.digest, "to_stamp": log.stamp}
    _MOVE_HEAD.run(connection, to)
    return log


def farm_clock(connection: Connection, farm: str) -> int:
    """The farm's hybrid logical clock: past every stamp in any of its logs."""
    return clock.farthest(stamp for (stamp,) in _CLOCKS.run(connection, {"farm": farm}))


def get_or_create(
    connection: Connection,
    farm: str,
    device: str,
    branch: Branch | None = None,
    *,
    key: bytes | None = None,
    private: bool = False,
) -> Head:
    """Return the head of a log, which is begun when there is none, with the `key` that signs it.

    A private log is never sent to anybody.

    Raises:
        OtherFarm: when the log belongs to another farm.
    """
    log = find(connection, device)
    if log is None:
        origin, seq, base = (branch.origin, branch.seq, bytes.fromhex(branch.digest)) if branch else _trunk(device)
        begun = {"farm_id": farm, "device": device, "origin": origin, "key": key, "private": private}
        base_of = {"base_seq": seq, "base_digest": base, "seq": seq, "digest": base, "stamp": 0}
        connection.execute(insert(_LOG), begun | base_of)
        (found,) = _FIND_LOG.run(connection, {"device": device})
        log = Head(*found)
    if log.farm_id != farm:
        raise OtherFarm
    return log


def _trunk(device: str) -> tuple[str, int, bytes]:
    return device, 0, root(device)


def find(connection: Connection, device: str) -> Head | None:
    """The head of a device's log; None when this store does not have it."""
    return next((Head(*row) for row in _FIND_LOG.run(connection, {"device": device})), None)


def find_all(connection: Connection, devices: Iterable[str]) -> dict[str, Head]:
    """The heads of these devices' logs, as far as this store has them."""
    found = (Head(*row) for row in _FIND_LOGS.run(connection, {}, devices))
    return {log.device: log for log in found}


def change_farm(connection: Connection, old: str, new: str) -> None:
    """Move all logs of farm `old` to farm `new`, with their records: for a phone that logged before it was paired."""
    connection.execute(update(_LOG).where(_LOG.c.farm_id == old).values(farm_id=new))
    for table in (*map(table_of, DERIVED), table_of(SetAside)):
        connection.execute(update(table).where(table.c.farm_id == old).values(farm_id=new))


def heads(connection: Connection, farm: str) -> list[Head]:
    """Every log of the farm in this store, private ones too."""
    return [Head(*row) for row in _HEADS.run(connection, {"farm": farm})]


def _open_heads(connection: Connection, farm: str, span: Span = ALL) -> list[Head]:
    logs = heads(connection, farm)
    return [log for log in logs if log.seq > log.base_seq and not log.private and span.covers(log.device)]


def holds(connection: Connection, farm: str, span: Span = ALL) -> Holds:
    """The heads of the logs that this side may send."""
    return {log.device: (log.seq, log.digest.hex()) for log in _open_heads(connection, farm, span)}


def narrowed(connection: Connection, farm: str, span: Span, most: int) -> Span:
    """As much of a span as holds at most so many logs here."""
    logs = _open_heads(connection, farm, span)
    return Span(span.first, logs[most].device) if len(logs) > most else span


def entries(connection: Connection, farm: str) -> int:
    """The number of lines that this side may send."""
    return sum(log.seq - log.base_seq for log in _open_heads(connection, farm))


def digest_at(connection: Connection, log: Head, seq: int) -> bytes | None:
    """The digest of line `seq` of a log, None when the line is not held."""
    if seq == log.seq:
        return log.digest
    if seq == log.base_seq:
        return log.base_digest
    return next((found for (found,) in _DIGEST.run(connection, {"log": log.id, "seq": seq})), None)


def lacking(
    connection: Connection, farm: str, theirs: Mapping[str, tuple[int, str]], max_bytes: int, span: Span = ALL
) -> list[Run]:
    """The lines that the other side lacks, up to about `max_bytes` of text, as far as their devices signed them.

    When any are lacking, those up to one signed head are given at least. A log of which the other side holds another
    history is left out (see `diverged`).
    """
    runs: list[Run] = []
    for log in _open_heads(connection, farm, span):
        after, their_digest = _theirs(log, theirs)
        mine = digest_at(connection, log, after) if after < log.seq else None
        if mine is None or mine.hex() != their_digest:
            continue
        run = run_from(connection, log, after, max_bytes)
        if run is not None:
            runs.append(run)
            max_bytes -= _RUN_BYTES + run.size
        if max_bytes <= 0:
            break
    return runs


def _theirs(log: Head, theirs: Mapping[str, tuple[int, str]]) -> tuple[int, str]:
    return theirs.get(log.device, (log.base_seq, log.base_digest.hex()))


def diverged(connection: Connection, farm: str, theirs: Mapping[str, tuple[int, str]], span: Span = ALL) -> list[Head]:
    """The logs of which the other side reports another history, as far as this side can tell."""
    found = []
    for log in _open_heads(connection, farm, span):
        after, their_digest = _theirs(log, theirs)
        mine = digest_at(connection, log, after) if after <= log.seq else None
        if mine is not None and mine.hex() != their_digest:
            found.append(log)
    return found


def run_from(connection: Connection, log: Head, after: int, max_bytes: int) -> Run | None:
    """The lines of one log after line `after`, up to about `max_bytes` of text and to a signed head.

    None when no signed head lies after `after`, or a line before the first one is damaged here.
    """
    signed = dict(_SIGNED_AFTER.run(connection, {"log": log.id, "after": after}))
    last = digest_at(connection, log, after)
    if not signed or last is None or log.key is None:
        return None
    texts: list[str] = []
    end, end_digest = after, last
    for seq, (text, own_digest) in enumerate(_lines_after(connection, log, after, max(signed)), after + 1):
        last = digest(last, text)
        if last != own_digest:
            break
        texts.append(text)
        max_bytes -= len(text.encode())
        if seq in signed:
            end, end_digest = seq, last
        if max_bytes <= 0 and end > after:
            break
    if end == after:
        return None
    kept = tuple(texts[: end - after])
    before = tuple((seq, signature) for seq, signature in signed.items() if seq < end)
    return Run(log.device, after, kept, end_digest.hex(), log.key, signed[end], branch_of(log), before)


def branch_of(log: Head) -> Branch | None:
    """Where this log left another one; None when it did not."""
    return None if log.origin == log.device else Branch(log.origin, log.base_seq, log.base_digest.hex())


def _lines_after(connection: Connection, log: Head, after: int, until: int) -> Iterator[tuple[str, bytes]]:
    while after < until:
        upto = min(after + _PAGE_LINES, until)
        yield from _LINES_AFTER.run(connection, {"log": log.id, "after": after, "until": upto})
        after += _PAGE_LINES
