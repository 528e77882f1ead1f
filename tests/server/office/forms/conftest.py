"""The office, open to its owner."""

import pytest

from shared_models.core.vocabulary import Role
from tests.server.support.service import Service


@pytest.fixture
def office(service: Service, farm: str) -> Service:
    """An owner is signed in."""
    service.open_office(farm, Role.OWNER)
    return service
