"""Who is asking: dependencies for routes, from the farm's device or its office.

A route that shows a farm's records takes `FarmOf` (the farm's id) and `Reading` (a session on one state of the store):

    @router.get("/v1/beds")
    def beds(farm: FarmOf, session: Reading) -> list[BedRead]: ...

Without credentials the request ends with `WrongSecret`; `problems.py` makes of it what a program or a browser can show.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from fastapi import Depends, Request
from fastapi.security.utils import get_authorization_scheme_param
from sqlalchemy import Engine
from sqlmodel import Session

from server.devices import KnownDevice, authenticate
from server.office_keys import farm_of_key
from server.surroundings import Surroundings
from shared_models.errors import WrongSecret
from shared_models.store import reading

OFFICE_COOKIE = "rowend_office"


def engine_of(request: Request) -> Engine:
    """The database of this service."""
    engine: Engine = request.app.state.engine
    return engine


def surroundings_of(request: Request) -> Surroundings:
    """The time, ids and randomness of this service."""
    surroundings: Surroundings = request.app.state.surroundings
    return surroundings


def credentials_of(request: Request) -> str | None:
    """A device's credentials as they came with the request, not yet looked at."""
    scheme, credentials = get_authorization_scheme_param(request.headers.get("authorization"))
    return credentials if scheme.lower() == "bearer" else None


def device_of(request: Request) -> KnownDevice:
    """The paired phone that asks."""
    credentials = credentials_of(request)
    if credentials is None:
        raise WrongSecret
    with reading(engine_of(request)) as connection:
        return authenticate(connection, credentials)


def farm_of(request: Request) -> str:
    """The id of the farm whose device or office asks."""
    key = request.cookies.get(OFFICE_COOKIE)
    if key is None or credentials_of(request) is not None:
        return device_of(request).farm
    with reading(engine_of(request)) as connection:
        return farm_of_key(connection, key)


def session_of(request: Request) -> Iterator[Session]:
    """A session that reads one state of the store."""
    with reading(engine_of(request)) as connection, Session(connection) as session:
        yield session


EngineOf = Annotated[Engine, Depends(engine_of)]
SurroundingsOf = Annotated[Surroundings, Depends(surroundings_of)]
DeviceOf = Annotated[KnownDevice, Depends(device_of)]
FarmOf = Annotated[str, Depends(farm_of)]
Reading = Annotated[Session, Depends(session_of)]
