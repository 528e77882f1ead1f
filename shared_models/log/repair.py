"""Damaged lines come back: ask others for them, answer those who ask, and put back what is proved to be the line."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from operator import itemgetter
from typing import Any

from sqlalchemy import Connection, delete, select

from shared_models.core.revision import digest, read
from shared_models.log.damage import Damage, damaged, forget
from shared_models.log.log import ADD_LINES, Head, Run, find, line_row, run_from
from shared_models.log.projection import histories, project
from shared_models.records.tables import Line, Log, table_of

#: lines that one page asks for
MOST_WANTED = 100
#: text in the answer for one log, about: a gap is best closed by lines that reach beyond it
ANSWER_BYTES = 64 * 1024

_LINE, _LOG = table_of(Line), table_of(Log)


def wanted(connection: Connection, farm: str, theirs: Mapping[str, tuple[int, str]]) -> list[Damage]:
    """The damaged lines to ask for; first those that the other side may have."""
    private = select(_LOG.c.device).where(_LOG.c.farm_id == farm, _LOG.c.private)
    secret = set(connection.execute(private).scalars())
    lines = [line for line in damaged(connection, farm) if line.device not in secret]
    return sorted(lines, key=lambda line: line.seq > theirs.get(line.device, (0, ""))[0])[:MOST_WANTED]


def wanted_runs(
    connection: Connection, farm: str, lines: Iterable[Damage], besides: Collection[str] = ()
) -> Iterator[Run]:
    """For each log one run with the first of the wanted lines that this side has; none of the logs `besides`."""
    for device, of_log in groupby(sorted(lines), key=itemgetter(0)):
        log = find(connection, device)
        if log is None or log.private or log.farm_id != farm or device in besides:
            continue
        runs = (run_from(connection, log, line.seq - 1, ANSWER_BYTES) for line in of_log if line.seq > log.base_seq)
        yield from (run for run in [next(filter(None, runs), None)] if run is not None)


def heal(connection: Connection, log: Head, run: Run, digests: Sequence[bytes]) -> None:
    """Put back what a signed run has of the lines held here, where it is proved to be of the history held here.

    `digests` are those of its lines. It is of this history where its digest is the stored one at the end of what both
    have, or the line after that follows from it. Otherwise it is another history, and nothing is changed.
    """
    until = min(run.end, log.seq)
    if until <= run.after:
        return
    mine = (_LINE.c.log_id == log.id) & (_LINE.c.seq > run.after) & (_LINE.c.seq <= until + 1)
    held = {row.seq: row for row in connection.execute(select(_LINE).where(mine))}
    sent = zip(range(run.after + 1, until + 1), run.texts, digests, strict=False)
    differ = [line for line in sent if _differs(held.get(line[0]), line[1], line[2])]
    if differ and not _is_held(log, until, digests[until - run.after - 1], held):
        return
    forget(connection, log, run.after, until)
    if differ:
        _put_back(connection, log, differ)


def _differs(row: Any, text: str, own_digest: bytes) -> bool:
    return row is None or row.text != text or row.digest != own_digest


def _is_held(log: Head, seq: int, own_digest: bytes, held: Mapping[int, Any]) -> bool:
    if seq == log.seq:
        return log.digest == own_digest
    here, following = held.get(seq), held.get(seq + 1)
    if here is not None and here.digest == own_digest:
        return True
    return following is not None and digest(own_digest, following.text) == following.digest


def _put_back(connection: Connection, log: Head, lines: Sequence[tuple[int, str, bytes]]) -> None:
    """Replace these lines (number, text, digest) by what was written, and fold their records again."""
    these = (_LINE.c.log_id == log.id) & _LINE.c.seq.in_([seq for seq, _, _ in lines])
    before = set(connection.execute(select(_LINE.c.record).where(these)).scalars())
    connection.execute(delete(_LINE).where(these))
    revisions = [read(log.device, seq, text) for seq, text, _ in lines]
    rows = [line_row(log, each, text, own) for each, (_, text, own) in zip(revisions, lines, strict=True)]
    ADD_LINES.run_many(connection, rows)
    touched = before | {each.record for each in revisions}
    project(connection, log.farm_id, histories(connection, log.farm_id, touched))
