"""A service in a barn, phones in the field, and a network between them that a test can spoil."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from mobile.demo.fake_phone import FakePhone
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


class Barn:
    """The service and its one farm, on a SQLite file that can be copied away and put back."""

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
        """The office changes a record."""
        edit(self.engine, self.farm, kind, record, changed, None, self.providers.now())

    def copy_to(self, folder: Path) -> None:
        """A backup: the database as it is now."""
        copy_database(self.folder / DATABASE_FILE, folder / DATABASE_FILE)

    def restore(self, folder: Path) -> None:
        """Start again from a backup."""
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
    """A pretend phone with a courier and its own piece of network."""

    folder: Path
    phone: FakePhone
    network: Network
    sync_client: SyncClient

    @classmethod
    def at(cls, barn: Barn, folder: Path, seed: int, now: datetime = MORNING) -> FieldPhone:
        """A phone in `folder`, not paired yet."""
        phone = FakePhone(folder, now, seed)
        network = Network(barn.client)
        return cls(folder, phone, network, SyncClient(phone.notebook, session_over(network)))

    @classmethod
    def paired(cls, barn: Barn, folder: Path, seed: int, now: datetime = MORNING) -> FieldPhone:
        """A phone in `folder`, paired with the barn and in step with it."""
        made = cls.at(barn, folder, seed, now)
        made.sync_client.pair(ADDRESS, barn.code(), f"Phone {seed}")
        made.sync_client.sync()
        return made

    def cloned(self, barn: Barn, folder: Path, seed: int = 77) -> FieldPhone:
        """A backup of this phone, put on another phone some time later."""
        copy_database(self.folder / FILE_NAME, folder / FILE_NAME)
        clone = FieldPhone.at(barn, folder, seed)
        clone.phone.clock.wait(1000)
        return clone

    def reopen(self, barn: Barn) -> None:
        """The app is killed and opened again, near the barn as it is now."""
        self.phone.kill()
        self.network = Network(barn.client)
        self.sync_client = SyncClient(self.phone.notebook, session_over(self.network))

    def meets(self, *mishaps: Mishap) -> None:
        """What happens to the next requests."""
        self.network.script = iter(mishaps)

    def records(self) -> Records:
        return records(self.phone.notebook.engine, self.phone.notebook.farm)

    def faults(self) -> list[str]:
        with reading(self.phone.notebook.engine) as connection:
            return list(verify(connection, self.phone.notebook.farm))

    def add_beds(self, count: int, name: str = "Bed") -> list[str]:
        """So many new beds."""
        notebook = self.phone.notebook
        return [notebook.add("bed", name=f"{name} {n}", length_mm=30_480, rows=4) for n in range(count)]


def copy_database(source: Path, target: Path) -> None:
    """A SQLite database as it is now, in another file."""
    target.parent.mkdir(parents=True, exist_ok=True)
    with closing(sqlite3.connect(source)) as old, closing(sqlite3.connect(target)) as new:
        old.backup(new)


def records(engine: Any, farm: str) -> Records:
    """Every good record of a farm, as its tables hold it."""
    held: Records = {}
    with reading(engine) as connection:
        for kind, model in PROJECTIONS.items():
            table = table_of(model)
            rows = connection.execute(table.select().where(table.c.farm_id == farm).order_by(table.c.id))
            held[kind] = [tuple(_plain(row)) for row in rows]
    return held


def _plain(row: Iterable[Any]) -> Iterable[Any]:
    return (repr(value) if isinstance(value, list | dict) else value for value in row)
