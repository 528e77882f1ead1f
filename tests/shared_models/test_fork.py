"""Two histories under one device id: the later lines of one move to a log of their own, and nothing is lost."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection, Engine, delete, insert, select, update

from shared_models import log
from shared_models.errors import Fork
from shared_models.fork import evidence, move_on
from shared_models.log import Run, append, find_or_open, holds, ingest, lacking, parted, run_from
from shared_models.projection import RecordKey, rebuild
from shared_models.revision import MAX_LINE_BYTES, read
from shared_models.store import open_store, reading, writing
from shared_models.tables import Bed, Line, Log, Person, SetAside, table_of
from shared_models.verify import verify
from tests.shared_models.device import (
    A_BED,
    ANA,
    BED,
    FARM,
    OFFICE,
    PHONE,
    PLENTY,
    TABLET,
    Device,
    DeviceMaker,
    line,
    run_of,
)

HEADS, LINES = table_of(Log), table_of(Line)
COMMON = (line(1), line(2, set={"rows": 2}))
OURS = (line(3, stamp=2, set={"rows": 3}), line(4, stamp=3, set={"name": "Ours"}))
THEIRS = (line(3, stamp=2, set={"rows": 4}),)


def said(device: Device, of: str) -> list[tuple[Any, ...]]:
    """What the lines of one log say, whatever their numbers."""
    revisions = [read(of, seq, text) for seq, text in enumerate(device.run(device=of).texts, 1)]
    return [(line.stamp, line.kind, line.record, line.set, line.by, line.more) for line in revisions]


def test_a_clone_loses_nothing_and_both_sides_come_to_hold_the_same(device: Device, memory: DeviceMaker) -> None:
    """The whole way: refused at the service, moved on the phone, and taken in under the new id."""
    service, phone = device, memory(PHONE)
    service.take(run_of(PHONE, *COMMON, *THEIRS))
    phone.take(run_of(PHONE, *COMMON, *OURS))
    (fork,) = service.take(phone.run()).refused
    assert isinstance(fork, Fork)

    new = phone.move_on(fork.common)
    phone.meet(service)

    assert new is not None
    assert service.holds() == phone.holds()
    assert {held: seq for held, (seq, _) in service.holds().items()} == {PHONE: 3, new: 2}
    assert service.rows(Bed) == phone.rows(Bed)
    assert phone.rows(Bed)[0]["name"] == "Ours"
    assert service.complaints() == phone.complaints() == []


def test_what_moves_says_the_same_and_its_record_stays_as_it_is(device: Device) -> None:
    device.take(run_of(PHONE, *COMMON, *OURS))
    before, records = said(device, PHONE), device.rows(Bed)

    new = device.move_on(2)

    assert new is not None
    assert said(device, PHONE) == before[:2]
    assert said(device, new) == before[2:]
    assert device.rows(Bed) == records
    assert device.complaints() == []


def test_what_a_newer_program_wrote_beside_the_fields_moves_too(device: Device) -> None:
    device.take(run_of(PHONE, line(1, signed={"by": "a key of next year"}, set={"colour": "red"}, by=ANA)))

    new = device.move_on(0)

    moved = json.loads(device.run(device=new).texts[0])
    assert moved == json.loads(line(1, signed={"by": "a key of next year"}, set={"colour": "red"}, by=ANA))


def test_a_log_that_moved_whole_is_empty_and_told_to_nobody(device: Device) -> None:
    device.take(run_of(PHONE, *COMMON))

    new = device.move_on(0)

    assert device.holds().keys() == {new}
    assert device.complaints() == []


def test_the_old_log_goes_on_with_what_the_other_side_holds(device: Device) -> None:
    device.take(run_of(PHONE, *COMMON, *OURS))
    device.move_on(2)

    outcome = device.take(run_of(PHONE, *COMMON, *THEIRS))

    assert (outcome.stored, outcome.refused) == (1, [])


@pytest.mark.parametrize("common", [4, 9])
def test_where_nothing_lies_after_the_common_line_nothing_moves(device: Device, common: int) -> None:
    device.take(run_of(PHONE, *COMMON, *OURS))
    before = device.holds()

    assert device.move_on(common) is None
    assert device.holds() == before


def test_of_a_log_that_is_not_held_nothing_moves(device: Device) -> None:
    assert device.move_on(0, TABLET) is None
    assert device.holds() == {}


def test_whoever_moves_the_same_lines_makes_the_same_log(device: Device, memory: DeviceMaker) -> None:
    tablet = memory(TABLET)
    for each in (device, tablet):
        each.take(run_of(PHONE, *COMMON, *OURS))

    names = {each.move_on(2, PHONE) for each in (device, tablet)}

    assert len(names) == 1
    assert device.holds() == tablet.holds()
    device.meet(tablet)
    assert len(device.texts()) == 4


@pytest.mark.parametrize("count", [1, 2])
def test_lines_that_somebody_moved_before_are_not_written_twice(
    device: Device, memory: DeviceMaker, count: int
) -> None:
    """Another clone moved all of them, or the first of them, and its new log is held here already."""
    clone = memory(TABLET)
    clone.take(run_of(PHONE, *COMMON, *OURS[:count]))
    theirs = clone.move_on(2, PHONE)
    device.take(run_of(PHONE, *COMMON, *OURS), clone.run(device=theirs))

    ours = device.move_on(2)

    assert ours == theirs
    assert {held: seq for held, (seq, _) in device.holds().items()} == {PHONE: 2, ours: 2}
    assert device.complaints() == []
    clone.meet(device)
    assert clone.holds() == device.holds()


def test_a_third_history_loses_nothing(device: Device, memory: DeviceMaker) -> None:
    """Another clone moved lines that begin as ours do and go on otherwise; its new log is held here already."""
    other = line(4, stamp=3, set={"name": "Third"})
    clone = memory(TABLET)
    clone.take(run_of(PHONE, *COMMON, OURS[0], other))
    first = clone.move_on(2, PHONE)
    assert first is not None
    device.take(run_of(PHONE, *COMMON, *OURS), clone.run(device=first))

    second = device.move_on(2)

    assert second not in {None, first}
    assert second is not None
    assert said(device, first)[1][3] == {"name": "Third"}
    assert said(device, second)[0][3] == {"name": "Ours"}
    assert device.complaints() == []


def test_a_third_history_makes_the_same_logs_in_either_order(device: Device, memory: DeviceMaker) -> None:
    """Whether the other clone's log was held before ours moved, or came afterwards and parted from ours."""
    other = line(4, stamp=3, set={"name": "Third"})
    clone, late = memory(TABLET), memory(OFFICE)
    clone.take(run_of(PHONE, *COMMON, OURS[0], other))
    first = clone.move_on(2, PHONE)
    device.take(run_of(PHONE, *COMMON, *OURS), clone.run(device=first))
    late.take(run_of(PHONE, *COMMON, *OURS))

    device.move_on(2)
    new = late.move_on(2, PHONE)
    (fork,) = late.take(clone.run(device=first)).refused
    assert isinstance(fork, Fork)
    late.move_on(fork.common, new)
    late.take(clone.run(device=first))

    assert late.holds() == device.holds()


def test_a_private_log_stays_private(device: Device) -> None:
    with writing(device.engine, FARM) as connection:
        log.find_or_open(connection, FARM, OFFICE, private=True)
        for wage in (21.0, 22.5):
            fields = {"name": "Ana", "wage_per_hour": wage}
            log.append(connection, FARM, OFFICE, 1, RecordKey("person", ANA), fields, None)

    device.move_on(1, OFFICE)

    assert device.holds() == {}
    assert device.rows(Person)[0]["wage_per_hour"] == 22.5
    assert device.complaints() == []


# ---------------------------------------------------------------------- lines damaged on the disk


def damage(device: Device, seq: int, text: str) -> None:
    with writing(device.engine, FARM) as connection:
        connection.execute(update(LINES).where(LINES.c.seq == seq).values(text=text))


@pytest.mark.parametrize("text", ["{", line(3, stamp=2, set={"rows": 7})], ids=["no line", "another line"])
def test_a_damaged_line_is_set_aside_and_the_others_move(device: Device, text: str) -> None:
    """Also where the damage still reads as a line: what nobody wrote is not signed anew."""
    device.take(run_of(PHONE, *COMMON, *OURS))
    damage(device, 3, text)

    new = device.move_on(2)

    (aside,) = device.rows(SetAside)
    assert (aside["farm_id"], aside["device"], aside["seq"], aside["text"]) == (FARM, PHONE, 3, text)
    assert new is not None
    assert [fields for _, _, _, fields, _, _ in said(device, new)] == [{"name": "Ours"}]
    assert device.rows(Bed)[0]["rows"] == 2
    assert [complaint for complaint in device.complaints() if "set aside" not in complaint] == []


def test_lines_after_a_missing_one_move(device: Device) -> None:
    device.take(run_of(PHONE, *COMMON, *OURS))
    with writing(device.engine, FARM) as connection:
        connection.execute(delete(LINES).where(LINES.c.seq == 3))

    new = device.move_on(2)

    assert new is not None
    assert [fields for _, _, _, fields, _, _ in said(device, new)] == [{"name": "Ours"}]
    assert device.rows(SetAside) == []
    assert device.complaints() == []


def test_a_line_that_would_be_too_long_when_written_again_is_set_aside(device: Device) -> None:
    """Another program may write letters as they are, where this one needs six characters for each."""
    short = line(1, set={"note": ""})
    long = short.replace('"note": ""', '"note": "' + "é" * 8000 + '"')
    device.take(run_of(PHONE, long, line(2)))

    device.move_on(0)

    (aside,) = device.rows(SetAside)
    assert (aside["text"], aside["reason"]) == (long, f"it is longer than {MAX_LINE_BYTES} bytes")


def test_the_same_line_can_be_set_aside_again(device: Device) -> None:
    """The log went on from the other side's lines, and they were damaged too."""
    for text in ("{", "["):
        device.take(run_of(PHONE, *COMMON, *OURS))
        damage(device, 3, text)
        device.move_on(2)

    assert [aside["text"] for aside in device.rows(SetAside)] == ["{", "["]


# ---------------------------------------------------------------------- how the other side comes to see it


def test_one_line_shows_a_fork_to_whoever_holds_the_longer_history(device: Device, memory: DeviceMaker) -> None:
    """The service cannot be asked for what it lacks, for it lacks nothing: it is shown the line where they meet."""
    phone = memory(PHONE)
    phone.take(run_of(PHONE, *COMMON, *THEIRS))
    device.take(run_of(PHONE, *COMMON, *OURS))

    with reading(device.engine) as connection:
        runs = evidence(connection, FARM, phone.holds())

    assert [(run.after, len(run.texts)) for run in runs] == [(2, 1)]
    assert [refusal.seq for refusal in phone.take(*runs).refused] == [3]
    assert len(phone.texts()) == 3


def test_whoever_is_behind_or_alike_is_shown_nothing(device: Device) -> None:
    device.take(run_of(PHONE, *COMMON, *OURS))

    with reading(device.engine) as connection:
        for theirs in ({}, {PHONE: (2, run_of(PHONE, *COMMON).digest)}, device.holds(), {PHONE: (9, "0" * 64)}):
            assert evidence(connection, FARM, theirs) == []


# ---------------------------------------------------------------------- any number of clones

Backup = tuple[str, list[dict[str, Any]], list[dict[str, Any]]]


class Clone:
    """A phone that may be restored from a backup of any phone, and moves on each time it is told of a fork."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection
        self.id = PHONE

    def write(self, **changed: Any) -> None:
        append(self.connection, FARM, self.id, 0, RecordKey("bed", BED), changed, None)

    def backup(self) -> Backup:
        kept = [[dict(row) for row in self.connection.execute(select(table)).mappings()] for table in (HEADS, LINES)]
        return self.id, kept[0], kept[1]

    def restore(self, backup: Backup) -> None:
        for table in (LINES, HEADS):
            self.connection.execute(delete(table))
        self.id, *kept = backup
        for table, rows in zip((HEADS, LINES), kept, strict=True):
            if rows:
                self.connection.execute(insert(table), rows)
        rebuild(self.connection, FARM)

    def hear(self, service: Connection) -> None:
        """Only take in what others wrote, as from a bundle."""
        ingest(self.connection, FARM, lacking(service, FARM, self._holds(), PLENTY))

    def sync(self, service: Connection) -> None:
        """As a courier does: send what is lacking, show from its start what parted, move on when told of a fork."""
        before = None
        while before != (before := (self._holds(), holds(service, FARM))):
            theirs = holds(service, FARM)
            self._send(service, lacking(self.connection, FARM, theirs, PLENTY))
            self._show(service, [head.device for head in parted(self.connection, FARM, theirs)])
            mine = self._holds()
            answer = [*lacking(service, FARM, mine, PLENTY), *evidence(service, FARM, mine)]
            self._show(service, [refusal.device for refusal in ingest(self.connection, FARM, answer).refused])

    def _show(self, service: Connection, devices: list[str]) -> None:
        heads = [find_or_open(self.connection, FARM, device) for device in devices]
        self._send(service, [run_from(self.connection, head, 0, PLENTY) for head in heads])

    def _send(self, service: Connection, runs: list[Run]) -> None:
        for refusal in ingest(service, FARM, runs).refused:
            assert isinstance(refusal, Fork)
            new = move_on(self.connection, FARM, refusal.device, refusal.common)
            if new is not None and refusal.device == self.id:
                self.id = new

    def _holds(self) -> log.Holds:
        return holds(self.connection, FARM)


def names(*stores: Connection) -> set[str]:
    """What was ever written, of all that these stores hold."""
    return {name for store in stores for text in store.execute(select(LINES.c.text)).scalars() for name in _names(text)}


def _names(text: str) -> list[str]:
    return [name for key, name in json.loads(text)["set"].items() if key == "name"]


@pytest.fixture(scope="module")
def four_stores() -> Iterator[list[Engine]]:
    engines = [open_store("sqlite://") for _ in range(4)]
    yield engines
    for engine in engines:
        engine.dispose()


phones = st.integers(0, 2)
events = st.one_of(
    st.tuples(st.just("write"), phones),
    st.tuples(st.just("sync"), phones),
    st.tuples(st.just("backup"), phones),
    st.tuples(st.just("restore"), phones),
    st.tuples(st.just("hear"), phones),
)

#: two clones move lines that begin alike, and the second holds the first one's new log before it moves its own
THIRD_HISTORY = [
    *[("write", 0), ("sync", 0), ("backup", 0), ("restore", 1), ("restore", 2), ("write", 2), ("sync", 2)],
    *[("write", 0), ("backup", 0), ("restore", 1), ("write", 0), ("write", 1), ("sync", 0), ("hear", 1), ("sync", 1)],
]


@given(st.lists(events, min_size=5, max_size=25))
@example(THIRD_HISTORY)
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_clones_restored_at_any_time_lose_nothing_and_come_to_hold_the_same(
    four_stores: list[Engine], events: list[tuple[str, int]]
) -> None:
    """No sync loses a line that either side held, and in the end all logs and records are the same everywhere."""
    with contextlib.ExitStack() as stack:
        connections = [stack.enter_context(engine.connect()) for engine in four_stores]
        for connection in connections:
            stack.callback(connection.begin().rollback)
        service, clones = connections[0], [Clone(connection) for connection in connections[1:]]
        backups = [clones[0].backup()]

        for count, (what, number) in enumerate([*events, *[("sync", number) for number in (0, 1, 2, 0, 1, 2)]]):
            clone = clones[number]
            if what == "write":
                clone.write(**A_BED | {"name": f"write {count}"})
            elif what == "backup":
                backups.append(clone.backup())
            elif what == "restore":
                clone.restore(backups[-1])
            elif what == "hear":
                clone.hear(service)
            else:
                before = names(service, clone.connection)
                clone.sync(service)
                assert names(service) == names(clone.connection) == before

        assert all(holds(each, FARM) == holds(service, FARM) for each in connections)
        assert all(list(verify(each, FARM)) == [] for each in connections)
        beds = [each.execute(select(table_of(Bed))).mappings().all() for each in connections]
        assert all(bed == beds[0] for bed in beds)
