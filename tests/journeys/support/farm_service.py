"""A service that can be backed up and restored, phones, and a network that a test can break."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterable
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from mobile.demo.fake_phone import FakePhone
from mobile.device.keystore.desk import FOLDER as KEYS
from mobile.log.phone_log import FILE_NAME
from mobile.sync.client import SyncClient
from server.app import create_app
from server.farms.edits import edit
from server.farms.pairing import new_code
from server.farms.registry import make_farm
from server.runtime.providers import Providers, real_providers
from server.runtime.settings import DATABASE_FILE, Settings
from shared_models.log.store import reading, writing
from shared_models.log.verify import verify
from shared_models.records.tables import PROJECTIONS, table_of
from tests.fixtures.network import ADDRESS, Mishap, Network, session_over

MORNING = datetime(2026, 5, 14, 11, 0, tzinfo=UTC)
Records = dict[str, list[tuple[Any, ...]]]


class FarmService:
    """A service with one farm, on a SQLite file that can be backed up and restored."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.folder.mkdir(parents=True, exist_ok=True)
        self.providers: Providers = real_providers()
        self._open()
        self.farm = make_farm(self.engine, "Heronbrook Farm", "America/New_York", self.providers)

    def _open(self) -> None:
        self.app = create_app(Settings.in_directory(self.folder), self.providers)
        self.client = TestClient(self.app, base_url=ADDRESS)
        self.engine = self.app.state.engine

    def code(self) -> str:
        """A one-time pairing code."""
        with writing(self.engine, self.farm) as connection:
            return new_code(connection, self.farm, self.providers)

    def edit(self, kind: str, record: str, **changed: Any) -> None:
        """Edit a record from the office."""
        edit(self.engine, self.farm, kind, record, changed, None, self.providers.now())

    def backup(self, folder: Path) -> None:
        """Copy the database to a folder."""
        copy_database(self.folder / DATABASE_FILE, folder / DATABASE_FILE)

    def restore(self, folder: Path) -> None:
        """Restart from a backup."""
        self.engine.dispose()
        for old in self.folder.glob(f"{DATABASE_FILE}*"):
            old.unlink()
        copy_database(folder / DATABASE_FILE, self.folder / DATABASE_FILE)
        self._open()

    def records(self) -> Records:
        return records(self.engine, self.farm)

    def faults(self) -> list[str]:
        with reading(self.engine) as connection:
            return list(verify(connection, self.farm))


@dataclass
class FieldPhone:
    """A fake phone with a sync client and a network of its own."""

    folder: Path
    phone: FakePhone
    network: Network
    sync_client: SyncClient

    @classmethod
    def at(cls, service: FarmService, folder: Path, seed: int, now: datetime = MORNING) -> FieldPhone:
        """A phone in `folder`, not paired yet."""
        phone = FakePhone(folder, now, seed)
        network = Network(service.client)
        return cls(folder, phone, network, SyncClient(phone.notebook, session_over(network)))

    @classmethod
    def paired(cls, service: FarmService, folder: Path, seed: int, now: datetime = MORNING) -> FieldPhone:
        """A phone in `folder`, paired and synced."""
        phone = cls.at(service, folder, seed, now)
        phone.sync_client.pair(ADDRESS, service.code(), f"Phone {seed}")
        phone.sync_client.sync()
        return phone

    def cloned(self, service: FarmService, folder: Path, seed: int = 77, *, with_keys: bool = True) -> FieldPhone:
        """A backup of this phone, restored on another phone some time later, where its keys may be missing."""
        copy_database(self.folder / FILE_NAME, folder / FILE_NAME)
        if with_keys:
            shutil.copytree(self.folder / KEYS, folder / KEYS)
        clone = FieldPhone.at(service, folder, seed)
        clone.phone.clock.wait(1000)
        return clone

    def reopen(self, service: FarmService) -> None:
        """Kill the app and open it again, with a connection to `service`."""
        self.phone.kill()
        self.network = Network(service.client)
        self.sync_client = SyncClient(self.phone.notebook, session_over(self.network))

    def fail_with(self, *mishaps: Mishap) -> None:
        """Set what happens to the next requests."""
        self.network.script = iter(mishaps)

    def records(self) -> Records:
        return records(self.phone.notebook.engine, self.phone.notebook.farm)

    def faults(self) -> list[str]:
        with reading(self.phone.notebook.engine) as connection:
            return list(verify(connection, self.phone.notebook.farm))

    def add_beds(self, count: int, name: str = "Bed") -> list[str]:
        """Add `count` beds."""
        notebook = self.phone.notebook
        return [notebook.add("bed", name=f"{name} {n}", length_mm=30_480, rows=4) for n in range(count)]


def copy_database(source: Path, target: Path) -> None:
    """Copy a SQLite database to another file."""
    target.parent.mkdir(parents=True, exist_ok=True)
    with closing(sqlite3.connect(source)) as old, closing(sqlite3.connect(target)) as new:
        old.backup(new)


def records(engine: Any, farm: str) -> Records:
    """Every valid record of a farm, as in its tables."""
    held: Records = {}
    with reading(engine) as connection:
        for kind, model in PROJECTIONS.items():
            table = table_of(model)
            rows = connection.execute(table.select().where(table.c.farm_id == farm).order_by(table.c.id))
            held[kind] = [tuple(_plain(row)) for row in rows]
    return held


def _plain(row: Iterable[Any]) -> Iterable[Any]:
    return (repr(value) if isinstance(value, list | dict) else value for value in row)
