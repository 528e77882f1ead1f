"""Two histories of one log: the later lines of one of them become a branch, a log of its own with the same lines."""

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, delete, insert, select, update

from shared_models.core import clock
from shared_models.core.revision import digest, read
from shared_models.errors import LineRefused
from shared_models.log.damage import forget
from shared_models.log.log import (
    ALL,
    Branch,
    Head,
    Run,
    Span,
    digest_at,
    diverged,
    find,
    get_or_create,
    move_head,
    run_from,
)
from shared_models.log.projection import histories, project
from shared_models.log.signatures import branch_id
from shared_models.records.tables import Line, Log, SetAside, SignedHead, table_of

_LOG, _LINE, _SIGNED, _SET_ASIDE = table_of(Log), table_of(Line), table_of(SignedHead), table_of(SetAside)


def branch_off(connection: Connection, farm: str, device: str, common: int) -> list[str]:
    """Move the lines of a log after line `common` to a branch, and drop them under the old id.

    For a fork, and for a log with a line that nobody can take. The lines keep their text, number and digest, so what
    their device signed stays signed. The branch's id follows from its first line: whoever moves these lines makes the
    same log of them. Where that log is held here and differs, they have diverged once more, and the rest branches
    again. A line damaged on this disk is set aside, and a further branch begins after it.

    Returns:
        The ids of the branches; none when nothing lies after `common`.
    """
    old = find(connection, device)
    if old is None or (old.origin != old.device and common <= old.base_seq):
        return []  # a branch is named by its first line
    columns = (_LINE.c.seq, _LINE.c.record, _LINE.c.text, _LINE.c.digest)
    later = connection.execute(_after(select(*columns), _LINE, old, common).order_by(_LINE.c.seq)).all()
    if not later:
        return []
    log = old._replace(seq=common, digest=digest_at(connection, old, common) or old.base_digest)
    branches = [
        branch
        for base, lines in _whole(connection, old, (common, log.digest), later)
        for branch in _branch(connection, old, base, lines)
    ]
    for table in (_LINE, _SIGNED):
        connection.execute(_after(delete(table), table, old, common))
    forget(connection, old, common, old.seq)
    move_head(connection, log)
    project(connection, farm, histories(connection, farm, {line.record for line in later}))
    return branches


def _after(statement: Any, table: Any, log: Head, seq: int) -> Any:
    return statement.where(table.c.log_id == log.id, table.c.seq > seq)


_Base = tuple[int, bytes]
"""A line and its digest, after which others follow."""


def _whole(connection: Connection, log: Head, base: _Base, lines: Sequence[Any]) -> list[tuple[_Base, list[Any]]]:
    """The stretches of lines that are whole, each with the line before it; the others are set aside."""
    stretches: list[tuple[_Base, list[Any]]] = [(base, [])]
    for line in lines:
        damage = _damage(log, base, line)
        if damage is None:
            stretches[-1][1].append(line)
        else:
            aside = {"farm_id": log.farm_id, "device": log.device, "seq": line.seq, "text": line.text}
            connection.execute(insert(_SET_ASIDE), aside | {"reason": damage})
            stretches.append(((line.seq, line.digest), []))
        base = (line.seq, line.digest)
    return [(base, lines) for base, lines in stretches if lines]


def _damage(log: Head, base: _Base, line: Any) -> str | None:
    seq, before = base
    if line.seq != seq + 1:
        return "the line before it is missing"
    if digest(before, line.text) != line.digest:
        return "it is not the text that was written"
    try:
        read(log.device, line.seq, line.text)
    except LineRefused as refusal:
        return str(refusal.reason)
    return None


def _branch(connection: Connection, old: Head, base: _Base, lines: Sequence[Any]) -> list[str]:
    """Move these lines to their branch, and what differs there to a further one."""
    device = branch_id(old.origin, lines[0].digest)
    branch = Branch(old.origin, base[0], base[1].hex())
    log = get_or_create(connection, old.farm_id, device, branch, private=old.private)
    for index, line in enumerate(lines):
        if line.seq > log.seq:
            _move(connection, old, log, lines[index:])
            break
        held = digest_at(connection, log, line.seq)
        if held != line.digest:  # somebody branched here before, synced it, and wrote other lines after
            before = lines[index - 1]
            return [device, *_branch(connection, old, (before.seq, before.digest), lines[index:])]
    return [device]


def _move(connection: Connection, old: Head, log: Head, lines: Sequence[Any]) -> None:
    last, stamp = lines[-1], log.stamp
    for line in lines:
        stamp = clock.observe(stamp, read(log.device, line.seq, line.text).stamp)
    for table in (_LINE, _SIGNED):
        among = (table.c.log_id == old.id) & table.c.seq.between(lines[0].seq, last.seq)
        connection.execute(update(table).where(among).values(log_id=log.id))
    if log.key is None:
        connection.execute(update(_LOG).where(_LOG.c.id == log.id).values(key=old.key))
    move_head(connection, log._replace(seq=last.seq, digest=last.digest, stamp=stamp))


def evidence(
    connection: Connection, farm: str, theirs: Mapping[str, tuple[int, str]], max_bytes: int, span: Span = ALL
) -> list[Run]:
    """Some lines of each log of which the other side holds another history: it cannot take them, and sees the fork.

    Of as many logs as make about `max_bytes`; the other forks are for the exchanges to come.
    """
    runs: list[Run] = []
    for log in diverged(connection, farm, theirs, span):
        end = theirs.get(log.device, (0, ""))[0]
        run = run_from(connection, log, end - 1, max_bytes=1) if end > log.base_seq and max_bytes > 0 else None
        if run is not None:
            runs.append(run)
            max_bytes -= run.size
    return runs
