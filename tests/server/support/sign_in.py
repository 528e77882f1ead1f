"""Sign in and send forms without an open session."""

from typing import Any

import httpx2
import pytest
from sqlalchemy import select

from shared_models.core.vocabulary import Role
from shared_models.log.store import reading
from shared_models.records.tables import table_of
from tests.server.support.service import BROWSER, Service

GOOD, BETTER = "nine wet trays", "a crow on the gate"
JOINED = {"name": "Ana", "sign_in": "ana", "password": GOOD, "again": GOOD}


@pytest.fixture
def ana(service: Service, farm: str) -> str:
    """A crew account with a password."""
    return service.account(farm, Role.CREW, "Ana", GOOD)


def post(service: Service, path: str, **typed: str) -> httpx2.Response:
    return service.client.post(path, data=typed, headers=BROWSER, follow_redirects=False)


def sign_in(service: Service, name: str = "ana", password: str = GOOD, **more: str) -> httpx2.Response:
    return post(service, "/sign-in", sign_in=name, password=password, **more)


def rows(service: Service, model: type[Any]) -> list[Any]:
    with reading(service.engine) as connection:
        return list(connection.execute(select(table_of(model))).all())
