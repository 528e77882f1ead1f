"""The log: append a line here, ingest runs of lines from others, give runs of lines to others.

All functions work inside a transaction of `store.writing` or `store.reading`; the caller decides when it is committed.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from sqlalchemy import Connection, bindparam, insert, select, update

from shared_models.core import clock
from shared_models.core.fold import fold
from shared_models.core.revision import Revision, digest, read, root, text_of
from shared_models.errors import BadEntry, Fork, LineRefused, OtherFarm
from shared_models.log.prepared_statements import AT_ONCE, Prepared
from shared_models.log.projection import RecordKey, Row, histories, history, project, project_one, validate
from shared_models.records.models import KINDS, UNITS
from shared_models.records.problems import bound_fields
from shared_models.records.tables import DERIVED, Line, Log, SetAside, table_of

Holds = dict[str, tuple[int, str]]
"""What a side holds: device -> (number of lines, digest of the last in hexadecimal)."""

_LOG, _LINE = table_of(Log), table_of(Line)
_PAGE_LINES = 1000


class Head(NamedTuple):
    """The end of one device's log in this store. The fields are the columns of `Log`."""

    id: int
    farm_id: str
    device: str
    private: bool
    seq: int
    digest: bytes
    stamp: int


@dataclass(frozen=True, slots=True)
class Run:
    """Consecutive lines of one device's log: those after line `after`, and the digest of the last."""

    device: str
    after: int
    texts: tuple[str, ...]
    digest: str


class _NewLine(NamedTuple):
    revision: Revision
    text: str
    digest: bytes


FromHistory = Callable[[Sequence[Revision]], Mapping[str, Any]]
"""The fields that an entry sets, by the revisions that its record has so far."""


class Written(NamedTuple):
    """A line that was appended, and the row that its record has from then on; None where it never was valid."""

    line: Revision
    row: Row | None


@dataclass(slots=True)
class Ingested:
    """What became of the runs taken in: lines stored now, and the refusals (a Fork names the last common line)."""

    stored: int = 0
    refused: list[LineRefused] = field(default_factory=list)


_FIND_LOG = Prepared(select(*(_LOG.c[name] for name in Head._fields)).where(_LOG.c.device == bindparam("device")))
_HEADS = Prepared(
    select(*(_LOG.c[name] for name in Head._fields)).where(_LOG.c.farm_id == bindparam("farm")).order_by(_LOG.c.device)
)
_CLOCKS = Prepared(select(_LOG.c.stamp).where(_LOG.c.farm_id == bindparam("farm")))
_MOVE_HEAD = Prepared(
    update(_LOG)
    .where(_LOG.c.id == bindparam("log"))
    .values(seq=bindparam("to_seq"), digest=bindparam("to_digest"), stamp=bindparam("to_stamp"))
)
_ADD_LINES = Prepared(insert(_LINE))
_DIGEST = Prepared(select(_LINE.c.digest).where(_LINE.c.log_id == bindparam("log"), _LINE.c.seq == bindparam("seq")))
_LINES_AFTER = Prepared(
    select(_LINE.c.text, _LINE.c.digest)
    .where(_LINE.c.log_id == bindparam("log"), _LINE.c.seq > bindparam("after"), _LINE.c.seq <= bindparam("until"))
    .order_by(_LINE.c.seq)
)


def append(
    connection: Connection,
    farm: str,
    device: str,
    now_ms: int,
    key: RecordKey,
    changed: Mapping[str, Any] | FromHistory,
    by: str | None,
    *,
    new: bool = False,
    tapped: bool = False,
) -> Written:
    """Append one line to `device`'s own log, with its projection: fields of a record `changed` by a person.

    Fields that depend on what the record was are given as a function of its revisions. `new` says that its id was made
    just now, so that no revision of it is looked for. What was `tapped` did happen: it is written even where it breaks
    a rule together with what others wrote in other fields, and the record is flagged.

    Raises:
        BadEntry: when the entry would break a rule that its record does not break already; nothing is written.
        OtherFarm: when the device's log belongs to another farm.
    """
    if key.kind not in KINDS:
        raise BadEntry(key.kind, {"entry": "there is no such kind of record"})
    logs = heads(connection, farm)
    log = next((each for each in logs if each.device == device), None) or get_or_create(connection, farm, device)
    known = [] if new else history(connection, farm, key, {each.id: each.device for each in logs})
    stamp = clock.tick(clock.farthest(each.stamp for each in logs), now_ms)
    fields = changed(known) if callable(changed) else changed
    revision = Revision(device, log.seq + 1, stamp, key.kind, key.id, fields, by)
    _refuse_new_problems(key.kind, known, revision, tapped=tapped)
    written, text = _read_back(revision)
    write_line(connection, log, written, text)
    return Written(written, project_one(connection, farm, key, [*known, written], new=new))


def _refuse_new_problems(kind: str, known: Sequence[Revision], revision: Revision, *, tapped: bool) -> None:
    units = UNITS.get(kind, {})
    problems = validate(kind, fold([*known, revision], units)).problems
    if tapped:
        problems = {
            name: reason for name, reason in problems.items() if set(bound_fields(reason)) <= revision.set.keys()
        }
    if problems:
        before = validate(kind, fold(known, units)).problems if known else {}
        new = {name: reason for name, reason in problems.items() if before.get(name) != reason}
        if before:  # what other fields break may have been hidden until one of them was mended
            new = {name: reason for name, reason in new.items() if name.split(".")[0] in revision.set}
        if new:
            raise BadEntry(kind, new)


def _read_back(revision: Revision) -> tuple[Revision, str]:
    try:
        text = text_of(revision)
        return read(revision.device, revision.seq, text), text
    except (ValueError, TypeError, RecursionError) as problem:
        raise BadEntry(revision.kind, {"entry": "it holds a value that is not a number, text or list"}) from problem
    except LineRefused as refusal:
        raise BadEntry(revision.kind, {"entry": refusal.reason}) from refusal


def write_line(connection: Connection, log: Head, revision: Revision, text: str) -> Head:
    """Store one line at the end of a log and return the new head. Projections are up to the caller."""
    line = _line(log, revision, text, digest(log.digest, text))
    _ADD_LINES.run(connection, line)
    stamp = clock.observe(log.stamp, revision.stamp)
    return _move_head(connection, log._replace(seq=revision.seq, digest=line["digest"], stamp=stamp))


def _line(log: Head, revision: Revision, text: str, own_digest: bytes) -> dict[str, Any]:
    return {"log_id": log.id, "seq": revision.seq, "record": revision.record, "text": text, "digest": own_digest}


def _move_head(connection: Connection, log: Head) -> Head:
    to = {"log": log.id, "to_seq": log.seq, "to_digest": log.digest, "to_stamp": log.stamp}
    _MOVE_HEAD.run(connection, to)
    return log


def farm_clock(connection: Connection, farm: str) -> int:
    """The farm's hybrid logical clock: past every stamp in any of its logs."""
    return clock.farthest(stamp for (stamp,) in _CLOCKS.run(connection, {"farm": farm}))


def get_or_create(connection: Connection, farm: str, device: str, *, private: bool = False) -> Head:
    """Return the head of a device's log, which is begun when there is none. A private log is never sent to anybody.

    Raises:
        OtherFarm: when the log belongs to another farm.
    """
    log = find(connection, device)
    if log is None:
        begun = {"farm_id": farm, "device": device, "private": private, "digest": root(device)}
        connection.execute(insert(_LOG), begun | {"seq": 0, "stamp": 0})
        (found,) = _FIND_LOG.run(connection, {"device": device})
        log = Head(*found)
    if log.farm_id != farm:
        raise OtherFarm
    return log


def find(connection: Connection, device: str) -> Head | None:
    """The head of a device's log; None when this store does not have it."""
    return next((Head(*row) for row in _FIND_LOG.run(connection, {"device": device})), None)


def change_farm(connection: Connection, old: str, new: str) -> None:
    """Move all logs of farm `old` to farm `new`, with their records: for a phone that logged before it was paired."""
    connection.execute(update(_LOG).where(_LOG.c.farm_id == old).values(farm_id=new))
    for table in (*map(table_of, DERIVED), table_of(SetAside)):
        connection.execute(update(table).where(table.c.farm_id == old).values(farm_id=new))


def heads(connection: Connection, farm: str) -> list[Head]:
    """Every log of the farm in this store, private ones too."""
    return [Head(*row) for row in _HEADS.run(connection, {"farm": farm})]


def _open_heads(connection: Connection, farm: str) -> list[Head]:
    return [log for log in heads(connection, farm) if log.seq and not log.private]


def holds(connection: Connection, farm: str) -> Holds:
    """The heads of the logs that this side may send."""
    return {log.device: (log.seq, log.digest.hex()) for log in _open_heads(connection, farm)}


def digest_at(connection: Connection, log: Head, seq: int) -> bytes | None:
    """The digest of line `seq` of a log, None when the line is not held."""
    if seq == log.seq:
        return log.digest
    if seq == 0:
        return root(log.device)
    return next((found for (found,) in _DIGEST.run(connection, {"log": log.id, "seq": seq})), None)


def lacking(connection: Connection, farm: str, theirs: Mapping[str, tuple[int, str]], max_bytes: int) -> list[Run]:
    """The lines that the other side lacks, up to about `max_bytes` of text.

    At least one line is given when any is lacking. A log of which the other side holds another history is left out
    (see `diverged`).
    """
    runs: list[Run] = []
    for log in _open_heads(connection, farm):
        after, their_digest = theirs.get(log.device, (0, root(log.device).hex()))
        mine = digest_at(connection, log, after) if after < log.seq else None
        if mine is None or mine.hex() != their_digest:
            continue
        run = run_from(connection, log, after, max_bytes)
        runs.append(run)
        max_bytes -= sum(len(text) for text in run.texts)
        if max_bytes <= 0:
            break
    return runs


def diverged(connection: Connection, farm: str, theirs: Mapping[str, tuple[int, str]]) -> list[Head]:
    """The logs of which the other side reports another history, as far as this side can tell."""
    found = []
    for log in _open_heads(connection, farm):
        after, their_digest = theirs.get(log.device, (0, root(log.device).hex()))
        mine = digest_at(connection, log, after) if after <= log.seq else None
        if mine is not None and mine.hex() != their_digest:
            found.append(log)
    return found


def run_from(connection: Connection, log: Head, after: int, max_bytes: int) -> Run:
    """The lines of one log after line `after` (there must be some), up to about `max_bytes` of text."""
    texts: list[str] = []
    last = b""
    for text, last in _lines_after(connection, log, after):  # noqa: B007 - the last digest is wanted after the loop
        texts.append(text)
        max_bytes -= len(text)
        if max_bytes <= 0:
            break
    return Run(log.device, after, tuple(texts), last.hex())


def _lines_after(connection: Connection, log: Head, after: int) -> Iterator[tuple[str, bytes]]:
    while after < log.seq:
        yield from _LINES_AFTER.run(connection, {"log": log.id, "after": after, "until": after + _PAGE_LINES})
        after += _PAGE_LINES


def ingest(connection: Connection, farm: str, runs: Sequence[Run]) -> Ingested:
    """Take in runs of lines from elsewhere, at most one of each device, with their projections.

    Lines held already are passed over. A run that starts beyond what is held is left for the next sync, which will
    start where it must. Refusals name device and line; everything before them is kept.

    Raises:
        OtherFarm: when a log belongs to another farm; nothing is stored.
    """
    outcome = Ingested()
    for held, run in [(get_or_create(connection, farm, run.device), run) for run in runs]:
        log = held
        try:
            for lines in _in_batches(log, _verified(connection, log, run)):
                log = _store(connection, log, lines)
        except LineRefused as refusal:
            outcome.refused.append(refusal)
        if log != held:
            _move_head(connection, log)
        outcome.stored += log.seq - held.seq
    return outcome


def _in_batches(log: Head, verified: Iterable[tuple[str, bytes]]) -> Iterator[list[_NewLine]]:
    """The lines after those of `log`. When one is refused, those before it are still yielded."""
    lines: list[_NewLine] = []
    try:
        for seq, (text, own_digest) in enumerate(verified, log.seq + 1):
            lines.append(_NewLine(read(log.device, seq, text), text, own_digest))
            if len(lines) == AT_ONCE:
                yield lines
                lines = []
    except LineRefused:
        if lines:
            yield lines
        raise
    if lines:
        yield lines


def _store(connection: Connection, log: Head, lines: Sequence[_NewLine]) -> Head:
    """Store lines after those of a log, with their projections; return the new head."""
    fresh: dict[RecordKey, list[Revision]] = defaultdict(list)
    stamp = log.stamp
    for revision, _, _ in lines:
        fresh[RecordKey(revision.kind, revision.record)].append(revision)
        stamp = clock.observe(stamp, revision.stamp)
    known = histories(connection, log.farm_id, {key.id for key in fresh})
    _ADD_LINES.run_many(connection, [_line(log, *line) for line in lines])
    project(connection, log.farm_id, {key: [*known.get(key, ()), *new] for key, new in fresh.items()})
    last = lines[-1]
    return log._replace(seq=last.revision.seq, digest=last.digest, stamp=stamp)


def _verified(connection: Connection, log: Head, run: Run) -> list[tuple[str, bytes]]:
    """The new lines of `run` with their digests, once the whole run fits the chain."""
    if log.private:
        raise LineRefused(run.device, log.seq + 1, "this log is kept in the office only")
    if run.after > log.seq:
        return []
    own_digest = digest_at(connection, log, run.after)
    if own_digest is None:
        raise LineRefused(run.device, log.seq + 1, "its log is damaged here")
    held = _held_digests(connection, log, run)
    new: list[tuple[str, bytes]] = []
    for seq, text in enumerate(run.texts, run.after + 1):
        own_digest = digest(own_digest, text)
        if seq > log.seq:
            new.append((text, own_digest))
        elif held.get(seq) != own_digest:
            raise Fork(run.device, seq - 1)
    if own_digest.hex() != run.digest:
        raise LineRefused(run.device, log.seq + 1, "it does not continue the log that is held here")
    return new


def _held_digests(connection: Connection, log: Head, run: Run) -> dict[int, bytes]:
    if run.after >= log.seq:
        return {}
    held = select(_LINE.c.seq, _LINE.c.digest).where(_LINE.c.log_id == log.id, _LINE.c.seq > run.after)
    rows = connection.execute(held.where(_LINE.c.seq <= run.after + len(run.texts)))
    return {row.seq: row.digest for row in rows}
