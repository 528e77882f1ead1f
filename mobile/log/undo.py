"""Which lines undo takes back, and what it writes instead."""

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection
from sqlmodel import Session, col, select

from shared_models.core.fold import fold
from shared_models.core.revision import Revision, read
from shared_models.log.projection import last_good_fields, validate
from shared_models.records.models import KINDS, UNITS
from shared_models.records.tables import Line, Log


def last_line(connection: Connection, device: str) -> Revision | None:
    """The last line of a device's own log."""
    own = select(Line.seq, Line.text).join(Log).where(Log.device == device, Line.seq == Log.seq)
    return next((read(device, *line) for line in Session(connection).exec(own)), None)


def lines_from(connection: Connection, device: str, first: int) -> list[Revision]:
    """The lines of a device's own log from number `first` on."""
    later = select(Line.seq, Line.text).join(Log).where(Log.device == device, Line.seq >= first)
    return [read(device, seq, text) for seq, text in Session(connection).exec(later.order_by(col(Line.seq)))]


def action(together: Mapping[str, Any] | None, last: Revision) -> tuple[int, str]:
    """The number of the first line of the action that ends with `last`, and the name of the action.

    `together` is the phone's setting of that name: the last action of several lines.
    """
    if together is None or (together["device"], together["last"]) != (last.device, last.seq):
        return last.seq, ""
    return together["first"], together["what"]


def fields_before(last: Revision, known: Sequence[Revision]) -> dict[str, Any]:
    """The fields that put a record back to what it was before its revision `last`; a new record is voided.

    What broke a rule before goes back to its last good form, as people saw it.
    """
    earlier = [revision for revision in known if revision.entry != last.entry]
    if all(last.order < revision.order for revision in earlier):  # it made the record, whoever corrected that since
        return {"voided": True}
    units = UNITS.get(last.kind, {})
    was = fold(earlier, units)
    if last.kind in KINDS and validate(last.kind, was).problems:
        was = last_good_fields(last.kind, earlier) or was
    touched = {member for name in last.set for member in units.get(name, (name,))}
    return {name: was.get(name) for name in sorted(touched)}
