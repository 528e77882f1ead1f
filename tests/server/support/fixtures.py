"""Fixtures of a service, for tests/server and tests/journeys."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import URL

from server.runtime.settings import Settings
from tests.server.support.service import FakeProviders, Service, running_service


@pytest.fixture
def fakes() -> FakeProviders:
    return FakeProviders()


@pytest.fixture
def service(tmp_path: Path, fakes: FakeProviders) -> Iterator[Service]:
    with running_service(Settings.in_directory(tmp_path).database_url, fakes) as running:
        yield running


@pytest.fixture(params=["sqlite", "postgresql"])
def any_url(request: pytest.FixtureRequest, tmp_path: Path) -> str | URL:
    if request.param == "sqlite":
        return Settings.in_directory(tmp_path).database_url
    url: str = request.getfixturevalue("postgres_url")
    return url


@pytest.fixture
def any_service(any_url: str | URL, fakes: FakeProviders) -> Iterator[Service]:
    with running_service(any_url, fakes) as running:
        yield running


@pytest.fixture
def farm(service: Service) -> str:
    return service.make_farm()
