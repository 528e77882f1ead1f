"""Two histories under one device id: the later lines of one of them move to a log of their own."""

import uuid
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, delete, insert, select, update

from shared_models.core.revision import Revision, digest, read, root, text_of
from shared_models.errors import LineRefused
from shared_models.log.log import Head, Run, digest_at, diverged, get_or_create, run_from, write_line
from shared_models.log.projection import histories, project
from shared_models.records.tables import Line, Log, SetAside, table_of

_NAMES = uuid.UUID("6c1f1d1e-6f0c-5d53-9d0f-2f7f3a0f8a55")
_LOG, _LINE, _SET_ASIDE = table_of(Log), table_of(Line), table_of(SetAside)


def reassign_tail(connection: Connection, farm: str, device: str, common: int) -> str | None:
    """Move the lines of `device` after line `common` to a log of their own, and drop them under the old id.

    For a fork, and for a log with a line that nobody can take: what was written after the `common` line is written
    again under a new device id, with the same stamp, record, fields and writer; so every record stays as it is. The
    new id follows from the first line that differs: whoever moves these lines makes the same log of them. Where the
    new log is held here and differs, they have diverged once more, and the rest moves on again. A line damaged
    on this disk is not written again as if it were whole; its text is set aside.

    Returns:
        The new device id, or None when nothing lies after `common`.
    """
    old = get_or_create(connection, farm, device)
    lines = select(_LINE.c.seq, _LINE.c.record, _LINE.c.text, _LINE.c.digest).where(_LINE.c.log_id == old.id)
    later = connection.execute(lines.where(_LINE.c.seq > common).order_by(_LINE.c.seq)).all()
    if not later:
        return None
    _cut(connection, old, common)
    whole = list(_whole_or_set_aside(connection, old, common, later))
    new = _write_again(connection, old, later[0].digest, whole)
    project(connection, farm, histories(connection, farm, {line.record for line in later}))
    return new.device


def _cut(connection: Connection, log: Head, common: int) -> None:
    last = digest_at(connection, log, common) or root(log.device)
    connection.execute(delete(_LINE).where(_LINE.c.log_id == log.id, _LINE.c.seq > common))
    connection.execute(update(_LOG).where(_LOG.c.id == log.id).values(seq=common, digest=last))


def _whole_or_set_aside(connection: Connection, log: Head, common: int, lines: Sequence[Any]) -> Iterator[Revision]:
    digests = {common: digest_at(connection, log, common)} | {line.seq: line.digest for line in lines}
    for line in lines:
        try:
            yield _whole(log.device, digests.get(line.seq - 1), line)
        except LineRefused as damage:
            aside = {"device": log.device, "seq": line.seq, "text": line.text, "reason": str(damage.reason)}
            connection.execute(insert(_SET_ASIDE), aside | {"farm_id": log.farm_id})


def _whole(device: str, before: bytes | None, line: Any) -> Revision:
    if before is not None and digest(before, line.text) != line.digest:
        raise LineRefused(device, line.seq, "it is not the text that was written")
    revision = read(device, line.seq, line.text)
    read(device, line.seq, text_of(revision))  # another program may have written it shorter than this one can
    return revision


def _write_again(connection: Connection, old: Head, first_digest: bytes, revisions: Sequence[Revision]) -> Head:
    new_id = str(uuid.uuid5(_NAMES, f"{old.device} {first_digest.hex()}"))
    log = get_or_create(connection, old.farm_id, new_id, private=old.private)
    last = root(new_id)
    for index, revision in enumerate(revisions):
        again = revision._replace(device=new_id, seq=index + 1)
        text = text_of(again)
        last = digest(last, text)
        if again.seq > log.seq:
            log = write_line(connection, log, again, text)
        elif digest_at(connection, log, again.seq) != last:
            # somebody moved these lines before, synced them, and wrote other ones after them
            return _write_again(connection, log, last, revisions[index:])
    return log


def evidence(connection: Connection, farm: str, theirs: Mapping[str, tuple[int, str]]) -> list[Run]:
    """One line of each log of which the other side holds another history: it cannot take it, and so sees the fork."""
    return [
        run_from(connection, log, after=theirs[log.device][0] - 1, max_bytes=1)
        for log in diverged(connection, farm, theirs)
        if theirs[log.device][0] > 0
    ]
