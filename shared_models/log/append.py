"""Append a line to a log here, with its projection: what a person changes."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection

from shared_models.core import clock
from shared_models.core.fold import fold
from shared_models.core.revision import NOTHING_MORE, Revision, read, text_of
from shared_models.errors import BadEntry, LineRefused
from shared_models.log.log import get_or_create, heads, write_line
from shared_models.log.projection import RecordKey, Row, history, project_one, validate
from shared_models.records.models import KINDS, UNITS
from shared_models.records.problems import bound_fields

FromHistory = Callable[[Sequence[Revision]], Mapping[str, Any]]
"""The fields that an entry sets, by the revisions that its record has so far."""


class Written(NamedTuple):
    """A line that was appended, and the row that its record has from then on; None where it never was valid."""

    line: Revision
    row: Row | None


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
    more: Mapping[str, Any] = NOTHING_MORE,
) -> Written:
    """Append one line to `device`'s own log, with its projection: fields of a record `changed` by a person.

    Fields that depend on what the record was are given as a function of its revisions. `new` says that its id was made
    just now, so that no revision of it is looked for. What was `tapped` did happen: it is written even where it breaks
    a rule together with what others wrote in other fields, and the record is flagged. `more` are further keys of the
    line, which others pass over.

    Raises:
        BadEntry: when the entry would break a rule that its record does not break already, or a line that is held would
            still win over it; nothing is written.
        OtherFarm: when the device's log belongs to another farm.
    """
    if key.kind not in KINDS:
        raise BadEntry(key.kind, {"entry": "there is no such kind of record"})
    logs = heads(connection, farm)
    log = next((each for each in logs if each.device == device), None) or get_or_create(connection, farm, device)
    known = [] if new else history(connection, farm, key, {each.id: each.device for each in logs})
    stamp = clock.tick(clock.farthest(each.stamp for each in logs), now_ms)
    fields = changed(known) if callable(changed) else changed
    revision = Revision(device, log.seq + 1, stamp, key.kind, key.id, fields, by, more)
    revision = _winning(revision, known, tapped=tapped)
    _refuse_new_problems(key.kind, known, revision, tapped=tapped)
    written, text = _read_back(revision)
    write_line(connection, log, written, text)
    return Written(written, project_one(connection, farm, key, [*known, written], new=new))


def _winning(revision: Revision, known: Sequence[Revision], *, tapped: bool) -> Revision:
    """The same edit, stamped after the lines held that would win over it.

    A tap is written whatever is held.
    """
    last = max((each.stamp for each in known), default=0)
    if last < revision.stamp or _wins(revision, known):
        return revision
    later = revision._replace(stamp=min(last + 1, clock.LATEST))
    if not (tapped or _wins(later, known)):
        raise BadEntry(revision.kind, {"entry": "another device wrote it with the latest time there can be"})
    return later


def _wins(revision: Revision, known: Sequence[Revision]) -> bool:
    fields = fold([*known, revision], UNITS.get(revision.kind, {}))
    return all(fields[name] == value for name, value in revision.set.items())


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
