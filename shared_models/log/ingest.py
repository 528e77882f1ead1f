"""Take in runs of lines from elsewhere: signed by their device, fitting the chain, stored with their projections."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from sqlalchemy import Connection, select

from shared_models.core import clock
from shared_models.core.keystore import Verify
from shared_models.core.revision import Revision, digest, read
from shared_models.errors import Fork, LineRefused, NotSigned, OtherFarm, StampAhead
from shared_models.log.log import ADD_LINES, Head, Run, digest_at, find, get_or_create, line_row, move_head
from shared_models.log.prepared_statements import AT_ONCE
from shared_models.log.projection import RecordKey, histories, project
from shared_models.log.repair import heal
from shared_models.log.signatures import add_signed_head, head_message, is_signed
from shared_models.records.tables import Line, table_of

_LINE = table_of(Line)


@dataclass(slots=True)
class Ingested:
    """What became of the runs taken in: lines stored now, and the refusals (a Fork names the last common line)."""

    stored: int = 0
    refused: list[LineRefused] = field(default_factory=list)


class _NewLine(NamedTuple):
    revision: Revision
    text: str
    digest: bytes


def ingest(
    connection: Connection, farm: str, runs: Sequence[Run], verify: Verify, latest: int = clock.LATEST
) -> Ingested:
    """Take in runs of lines from elsewhere, at most one of each log, with their projections.

    Only lines below a head that their device signed. Lines held already are passed over. A run that starts beyond what
    is held is left for the next sync, which will start where it must. Refusals name device and line; everything before
    them is kept. No line stamped after `latest` is taken, since nobody could correct what it sets.

    Raises:
        OtherFarm: when a log belongs to another farm; nothing is stored.
    """
    outcome = Ingested()
    known = [find(connection, run.device) for run in runs]
    if any(log and log.farm_id != farm for log in known):
        raise OtherFarm
    for run, log in zip(runs, known, strict=True):
        try:
            if not is_signed(run, log, verify):
                raise NotSigned(run.device, (log.seq if log else run.after) + 1)
            _take(connection, farm, log, run, verify, latest, outcome)
        except LineRefused as refusal:
            outcome.refused.append(refusal)
    return outcome


def _take(
    connection: Connection,
    farm: str,
    held: Head | None,
    run: Run,
    verify: Verify,
    latest: int,
    outcome: Ingested,
) -> None:
    if held is None:
        if run.after != (run.branch.seq if run.branch else 0):
            return  # it begins beyond what is held
        held = get_or_create(connection, farm, run.device, run.branch)
    log = held
    try:
        for lines in _in_batches(log, _verified(connection, log, run), latest):
            log = _store(connection, log, lines)
    finally:
        if log != held:
            move_head(connection, log)
        outcome.stored += log.seq - held.seq
    for seq, signature in run.signed_before:
        own_digest = digest_at(connection, log, seq)
        if own_digest and verify(run.key, head_message(log.origin, seq, own_digest.hex()), signature):
            add_signed_head(connection, log, run.key, seq, signature)
    if log.seq >= run.end:
        add_signed_head(connection, log, run.key, run.end, run.signature)


def _in_batches(log: Head, verified: Iterable[tuple[str, bytes]], latest: int) -> Iterator[list[_NewLine]]:
    """The lines after those of `log`. When one is refused, those before it are still yielded."""
    lines: list[_NewLine] = []
    try:
        for seq, (text, own_digest) in enumerate(verified, log.seq + 1):
            revision = read(log.device, seq, text)
            if revision.stamp > latest:
                raise StampAhead(log.device, seq)
            lines.append(_NewLine(revision, text, own_digest))
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
    ADD_LINES.run_many(connection, [line_row(log, *line) for line in lines])
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
    digests = [own_digest := digest(own_digest, text) for text in run.texts]
    fits = own_digest.hex() == run.digest
    if fits:
        heal(connection, log, run, digests)
    held = _held_digests(connection, log, run)
    for seq, sent in enumerate(digests[: max(0, log.seq - run.after)], run.after + 1):
        if held.get(seq) != sent:
            raise Fork(run.device, seq - 1)
    if not fits:
        raise LineRefused(run.device, log.seq + 1, "it does not continue the log that is held here")
    new = slice(max(0, log.seq - run.after), None)
    return list(zip(run.texts[new], digests[new], strict=True))


def _held_digests(connection: Connection, log: Head, run: Run) -> dict[int, bytes]:
    if run.after >= log.seq:
        return {}
    held = select(_LINE.c.seq, _LINE.c.digest).where(_LINE.c.log_id == log.id, _LINE.c.seq > run.after)
    rows = connection.execute(held.where(_LINE.c.seq <= run.end))
    return {row.seq: row.digest for row in rows}
