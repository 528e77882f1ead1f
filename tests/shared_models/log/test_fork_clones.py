"""Any number of phones restored from each other's backups at any time: no line is lost, and all come to agree."""

import contextlib
import itertools
import json
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection, Engine, delete, insert, select

from shared_models.core import p256
from shared_models.core.ids import device_id
from shared_models.errors import Fork
from shared_models.log import log
from shared_models.log.append import append
from shared_models.log.fork import branch_off, evidence
from shared_models.log.ingest import ingest
from shared_models.log.log import Run, diverged, find, get_or_create, heads, holds, lacking, run_from
from shared_models.log.projection import RecordKey, rebuild
from shared_models.log.signatures import sign_log
from shared_models.log.store import open_store
from shared_models.log.verify import verify
from shared_models.records.tables import Bed, Line, Log, SignedHead, table_of
from tests.shared_models.log.device import A_BED, BED, FARM, PHONE, PLENTY, PRIVATE_KEYS, public_key

HEADS, LINES, SIGNED = table_of(Log), table_of(Line), table_of(SignedHead)
Backup = tuple[str, list[list[dict[str, Any]]]]


NUMBERS = itertools.count(100)
#: private keys by public ones; a clone carries the key of its twin
KEYS = {public_key(PHONE): PRIVATE_KEYS[PHONE]}


def sign(key: bytes, message: bytes) -> bytes:
    return p256.sign(KEYS[key], message)


class Clone:
    """A phone that may be restored from a backup of any phone, and moves on each time it is told of a fork."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection
        self.id = PHONE
        get_or_create(connection, FARM, PHONE, key=public_key(PHONE))

    def write(self, **changed: Any) -> None:
        append(self.connection, FARM, self.id, 0, RecordKey("bed", BED), changed, None)

    def backup(self) -> Backup:
        tables = (HEADS, LINES, SIGNED)
        return self.id, [[dict(row) for row in self.connection.execute(select(each)).mappings()] for each in tables]

    def restore(self, backup: Backup) -> None:
        for table in (SIGNED, LINES, HEADS):
            self.connection.execute(delete(table))
        self.id, kept = backup
        for table, rows in zip((HEADS, LINES, SIGNED), kept, strict=True):
            if rows:
                self.connection.execute(insert(table), rows)
        rebuild(self.connection, FARM)

    def hear(self, service: Connection) -> None:
        """Only take in what others wrote, as from a bundle."""
        ingest(self.connection, FARM, lacking(service, FARM, self._holds(), PLENTY), p256.verify)

    def sync(self, service: Connection) -> None:
        """As a courier does: send what is lacking, show from its start what parted, move on when told of a fork."""
        self._sign()
        before = None
        while before != (before := (self._holds(), holds(service, FARM))):
            theirs = holds(service, FARM)
            self._send(service, lacking(self.connection, FARM, theirs, PLENTY))
            self._show(service, [head.device for head in diverged(self.connection, FARM, theirs)])
            mine = self._holds()
            answer = [*lacking(service, FARM, mine, PLENTY), *evidence(service, FARM, mine, PLENTY)]
            self._show(
                service, [refusal.device for refusal in ingest(self.connection, FARM, answer, p256.verify).refused]
            )

    def _show(self, service: Connection, devices: list[str]) -> None:
        found = [head for device in devices if (head := find(self.connection, device))]
        runs = [run_from(self.connection, head, head.base_seq, PLENTY) for head in found]
        self._send(service, [run for run in runs if run])

    def _send(self, service: Connection, runs: list[Run]) -> None:
        for refusal in ingest(service, FARM, runs, p256.verify).refused:
            assert isinstance(refusal, Fork)
            if branch_off(self.connection, FARM, refusal.device, refusal.common) and refusal.device == self.id:
                self._begin_log()
            self._sign()

    def _begin_log(self) -> None:
        private = p256.private_key(next(NUMBERS).to_bytes(32))
        key = p256.public_key(private)
        self.id = device_id(key)
        KEYS[key] = private
        get_or_create(self.connection, FARM, self.id, key=key)

    def _sign(self) -> None:
        for head in heads(self.connection, FARM):
            sign_log(self.connection, head, sign)

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
