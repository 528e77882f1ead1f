"""The service as an application. This is the one place that chooses its parts."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.metadata import version

from fastapi import Depends, FastAPI

from server.access import from_this_site
from server.body_limit import BodyLimit
from server.database import open_database
from server.door import Door
from server.guard import Guard
from server.legible import legible
from server.problems import tell_problems
from server.routers import (
    accounts,
    entrance,
    exports,
    health,
    language,
    log,
    methods,
    office,
    pairing,
    phones,
    reports,
    setup,
    sync,
)
from server.seals import seals_of
from server.settings import Settings
from server.surroundings import Surroundings, real_surroundings
from server.tries import Tries
from shared_models.sync.wire import MAX_BODY_BYTES


def create_app(settings: Settings, surroundings: Surroundings | None = None) -> FastAPI:
    """Open the database and put the service together.

    Raises:
        StoreTrouble: when the database cannot be opened or written.
    """
    app = FastAPI(
        title="Rowend",
        version=version("rowend"),
        docs_url=None,
        redoc_url=None,
        lifespan=_lifespan,
        redirect_slashes=False,  # it would send browsers to whatever host the request names
        dependencies=[Depends(legible), Depends(from_this_site)],
    )
    engine, around = open_database(settings.database_url), surroundings or real_surroundings()
    app.state.engine, app.state.surroundings = engine, around
    app.state.tries = Tries()
    app.state.seals = seals_of(engine, around.token())
    app.state.door = Door(engine, around)
    app.add_middleware(BodyLimit, max_bytes=MAX_BODY_BYTES)
    app.add_middleware(Guard)
    tell_problems(app)
    every = (health, entrance, accounts, pairing, sync, reports, exports, office, log, setup, phones, methods, language)
    for part in every:
        app.include_router(part.router)
    return app


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    yield
    app.state.engine.dispose()
