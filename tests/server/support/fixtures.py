"""The fixtures of `conftest.py`, here and for the journeys."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import URL

from server.runtime.settings import Settings
from tests.server.support.world import Service, World, running_service


@pytest.fixture
def world() -> World:
    return World()


@pytest.fixture
def service(tmp_path: Path, world: World) -> Iterator[Service]:
    """A service on a SQLite file."""
    with running_service(Settings.in_directory(tmp_path).database_url, world) as running:
        yield running


@pytest.fixture(params=["sqlite", "postgresql"])
def any_url(request: pytest.FixtureRequest, tmp_path: Path) -> str | URL:
    """An empty database of each kind."""
    if request.param == "sqlite":
        return Settings.in_directory(tmp_path).database_url
    url: str = request.getfixturevalue("postgres_url")
    return url


@pytest.fixture
def any_service(any_url: str | URL, world: World) -> Iterator[Service]:
    """A service on a database of each kind."""
    with running_service(any_url, world) as running:
        yield running


@pytest.fixture
def farm(service: Service) -> str:
    return service.make_farm()
