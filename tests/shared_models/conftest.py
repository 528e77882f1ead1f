"""Stores to keep logs in: `device` in each kind of database there is, `memory` for whoever is on the other side."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import URL, Engine, delete

from shared_models.log.store import open_store, sqlite_url
from shared_models.records.tables import DERIVED, DamagedLine, Line, Log, SetAside, SignedHead, table_of
from tests.shared_models.log.device import Device, DeviceMaker

Opener = Callable[[str | URL], Engine]


@pytest.fixture
def opened() -> Iterator[Opener]:
    """Opens stores, and lets go of them after the test."""
    engines: list[Engine] = []

    def open_one(url: str | URL) -> Engine:
        engines.append(open_store(url))
        return engines[-1]

    yield open_one
    for engine in engines:
        engine.dispose()


@pytest.fixture(scope="session")
def postgres_store(postgres_server: Path) -> Iterator[Engine]:
    """A store on the server's own database: emptying it takes a tenth of the time that a new database takes."""
    engine = open_store(f"postgresql+psycopg://rowend@/postgres?host={postgres_server}")
    yield engine
    engine.dispose()


@pytest.fixture(params=["sqlite", "postgresql"])
def store(request: pytest.FixtureRequest, tmp_path: Path, opened: Opener) -> Iterator[Engine]:
    """An empty store, once in each kind of database: what passes here holds on the phone and in the office."""
    if request.param == "sqlite":
        yield opened(sqlite_url(tmp_path / "log.db"))
    else:
        engine: Engine = request.getfixturevalue("postgres_store")
        yield engine
        _empty(engine)


def _empty(engine: Engine) -> None:
    with engine.begin() as connection:
        signed, noted, line, log = table_of(SignedHead), table_of(DamagedLine), table_of(Line), table_of(Log)
        for table in [signed, noted, line, log, table_of(SetAside), *map(table_of, DERIVED)]:
            connection.execute(delete(table))


@pytest.fixture
def device(store: Engine) -> Device:
    """A device with an empty store of each kind."""
    return Device(store)


@pytest.fixture
def memory(opened: Opener) -> DeviceMaker:
    """Makes further devices, each with a store of its own in memory."""
    return lambda *result: Device(opened("sqlite://"), *result)
