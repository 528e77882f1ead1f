"""A phone with a bed that is synced, and commands on the service's data."""

from pathlib import Path

import pytest

from server.cli import main as cli
from tests.server.support.service import Phone, Service


@pytest.fixture
def phone(service: Service, farm: str) -> Phone:
    phone = service.phone(farm)
    phone.add_bed("North 1")
    phone.sync(service)
    return phone


def run(data: Path, *words: str | Path) -> int:
    return cli.run([*map(str, words), "--data", str(data)])
