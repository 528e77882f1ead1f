"""Write lines of a log once more in another log of the same writer, where they cannot stay as they are."""

from collections.abc import Callable
from contextlib import suppress

from sqlalchemy import Connection, delete, insert, select

from shared_models.core import clock
from shared_models.core.revision import Revision, digest, read, text_of
from shared_models.errors import LineRefused
from shared_models.log.damage import forget
from shared_models.log.log import Head, digest_at, move_head, write_line
from shared_models.log.projection import histories, project
from shared_models.records.tables import Line, SetAside, SignedHead, table_of

_LINE, _SIGNED, _SET_ASIDE = table_of(Line), table_of(SignedHead), table_of(SetAside)


def _clock(connection: Connection, log: Head, until: int) -> int:
    """The clock of a log at an earlier line."""
    lines = select(_LINE.c.seq, _LINE.c.text).where(_LINE.c.log_id == log.id, _LINE.c.seq <= until)
    stamp = 0
    for seq, text in connection.execute(lines.order_by(_LINE.c.seq)):
        with suppress(LineRefused):
            stamp = clock.observe(stamp, read(log.device, seq, text).stamp)
    return stamp


def write_again(
    connection: Connection,
    old: Head,
    after: int,
    into: Head,
    change: Callable[[Revision], Revision] = lambda same: same,
) -> Head:
    """Write the lines of a log after line `after` at the end of another one, and drop them under the old id.

    They keep their record, fields, writer and stamp, unless `change` gives them another. A line damaged on this disk is
    set aside. Returns the new head of the other log.
    """
    columns = (_LINE.c.seq, _LINE.c.record, _LINE.c.text, _LINE.c.digest)
    mine = (_LINE.c.log_id == old.id) & (_LINE.c.seq > after)
    later = connection.execute(select(*columns).where(mine).order_by(_LINE.c.seq)).all()
    last = digest_at(connection, old, after) or old.base_digest
    move_head(connection, old._replace(seq=after, digest=last, stamp=_clock(connection, old, after)))
    for line in later:
        try:
            if digest(last, line.text) != line.digest:
                raise LineRefused(old.device, line.seq, "it is not the text that was written")  # noqa: TRY301 - as others
            revision = change(read(old.device, line.seq, line.text))._replace(device=into.device, seq=into.seq + 1)
            text = text_of(revision)
            into = write_line(connection, into, read(into.device, revision.seq, text), text)
        except LineRefused as damage:
            aside = {"farm_id": old.farm_id, "device": old.device, "seq": line.seq, "text": line.text}
            connection.execute(insert(_SET_ASIDE), aside | {"reason": str(damage.reason)})
        last = line.digest
    for table in (_LINE, _SIGNED):
        connection.execute(delete(table).where(table.c.log_id == old.id, table.c.seq > after))
    forget(connection, old, after, old.seq)
    project(connection, old.farm_id, histories(connection, old.farm_id, {line.record for line in later}))
    return into
