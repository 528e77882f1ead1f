"""The office on an evening some days after the hand day."""

from datetime import UTC, datetime

import pytest

from shared_models.core.vocabulary import Role
from tests.server.support.service import Service
from tests.shared_models.reports.support.farmbook import FarmBook, HandDay

EVENING = datetime(2026, 5, 14, 22, 0, tzinfo=UTC)


@pytest.fixture
def office(service: Service, farm: str) -> Service:
    """A grower is signed in, some days after the hand day."""
    service.fakes.time = EVENING
    service.open_office(farm, Role.GROWER)
    return service


@pytest.fixture
def day(office: Service, farm: str) -> HandDay:
    return HandDay(FarmBook(office.engine, id=farm))
