"""Undo what a phone sent since some time: corrections that set its records back to what they would be without it."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime
from itertools import islice
from typing import Any, NamedTuple

from sqlalchemy import Connection, Engine, select

from server.db.tables import Arrival, Device
from server.farms.edits import write
from server.farms.successors import successors_of
from server.runtime.providers import Providers, milliseconds
from shared_models.core.clock import latest_wall_ms
from shared_models.core.fold import fold, whole
from shared_models.core.revision import Revision, read
from shared_models.errors import BadEntry, LineRefused
from shared_models.log.log import Head, heads
from shared_models.log.projection import RecordKey, histories, validate
from shared_models.log.store import reading, writing
from shared_models.records.models import KINDS, UNITS
from shared_models.records.tables import Line, table_of

#: key of the lines that undo: the phone, since when, and when it was done
UNDO = "undo"
#: records in one transaction, so that others can write in between
_AT_ONCE = 25

_ARRIVAL, _DEVICE, _LINE = table_of(Arrival).c, table_of(Device).c, table_of(Line).c

LineName = tuple[str, int]
"""A line: its log and its number."""


class Sent(NamedTuple):
    """The lines that a phone sent, and their records. Of `by_clock` lines only the phone's clock says when."""

    lines: frozenset[LineName]
    records: frozenset[str]
    by_clock: int


class SetBack(NamedTuple):
    """What undoing does to a record: the fields that it changes; `stuck` where that would break a rule."""

    key: RecordKey
    changes: Mapping[str, Any]
    stuck: bool

    @property
    def deletes(self) -> bool:
        return self.changes.get("voided") is True


def sent_since(connection: Connection, farm: str, phone: str, since: datetime) -> Sent:
    """The lines of a phone's log, of the branches of it and of those that went on from it, that came in since then.

    Also of logs that it brought of devices which were never paired here. A line whose arrival is not known counts by
    the latest time that its writer's clock can have shown.
    """
    lines, records, by_clock = set[LineName](), set[str](), 0
    for log in _logs_of(connection, farm, phone):
        arrived = select(_ARRIVAL.after, _ARRIVAL.seq, _ARRIVAL.at).where(_ARRIVAL.log == log.device)
        came = {seq: row.at for row in connection.execute(arrived) for seq in range(row.after + 1, row.seq + 1)}
        held = select(_LINE.seq, _LINE.record, _LINE.text).where(_LINE.log_id == log.id)
        for seq, record, text in connection.execute(held):
            at = came.get(seq) or _by_clock(log.device, seq, text)
            if at >= since:
                lines.add((log.device, seq))
                records.add(record)
                by_clock += seq not in came
    return Sent(frozenset(lines), frozenset(records), by_clock)


def _logs_of(connection: Connection, farm: str, phone: str) -> Iterator[Head]:
    family = {phone, *successors_of(connection, [phone])}
    paired = set(connection.execute(select(_DEVICE.id).where(_DEVICE.farm_id == farm)).scalars())
    brought = set(connection.execute(select(_ARRIVAL.log).where(_ARRIVAL.sender.in_(family))).scalars())
    for log in heads(connection, farm):
        if log.origin in family or (log.device in brought and log.origin not in paired):
            yield log


def _by_clock(device: str, seq: int, text: str) -> datetime:
    try:
        stamp = read(device, seq, text).stamp
    except LineRefused:
        stamp = 0
    return datetime.fromtimestamp(latest_wall_ms(stamp) / 1000, UTC)


def set_back(connection: Connection, farm: str, sent: Sent, records: Sequence[str] | None = None) -> list[SetBack]:
    """What undoing these lines does to their records, or to some of them; those that stay as they are left out."""
    wanted = sorted(sent.records) if records is None else records
    each = (
        _set_back(key, revisions, sent.lines)
        for key, revisions in histories(connection, farm, wanted).items()
        if key.kind in KINDS
    )
    return sorted((found for found in each if found), key=lambda found: found.key)


def _set_back(key: RecordKey, revisions: Sequence[Revision], undone: frozenset[LineName]) -> SetBack | None:
    units = UNITS.get(key.kind, {})
    others = [line for line in revisions if (line.device, line.seq) not in undone]
    now, then = fold(revisions, units), fold(others, units)
    first = min(revisions, key=lambda line: line.order)
    changes: dict[str, Any]
    if (first.device, first.seq) in undone and validate(key.kind, {**then, "voided": None}).problems:
        changes = {} if now.get("voided") or key.kind == "farm" else {"voided": True}
    else:
        different = {name: then.get(name) for name in now if now[name] != then.get(name)}
        if different.get("voided", True) is None:
            different["voided"] = False
        changes = whole(different, then, units)
        if now.get("voided") in (None, False) and changes.get("voided") is False:
            del changes["voided"]
    if not changes:
        return None
    before, after = (validate(key.kind, fields).problems for fields in (now, {**now, **changes}))
    return SetBack(key, changes, stuck=bool(after.keys() - before.keys()))


def undo_sent(engine: Engine, farm: str, phone: str, since: datetime, by: str | None, providers: Providers) -> int:
    """Write the corrections to the office's log; return how many records were set back. Doing it again is harmless."""
    with reading(engine) as connection:
        sent = sent_since(connection, farm, phone, since)
        records = iter([found.key.id for found in set_back(connection, farm, sent) if not found.stuck])
    now, done = providers.now(), 0
    action = {UNDO: {"phone": phone, "since": milliseconds(since), "at": milliseconds(now)}}
    while some := list(islice(records, _AT_ONCE)):
        with writing(engine, farm) as connection:
            for found in set_back(connection, farm, sent, some):
                try:
                    write(connection, farm, found.key, found.changes, by, now, action)
                except BadEntry:
                    continue  # others changed it meanwhile, and the page shows what is left
                done += 1
    return done
