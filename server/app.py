"""The service as an application. This is the one place that chooses its parts."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.metadata import version

from fastapi import FastAPI

from server.body_limit import BodyLimit
from server.database import open_database
from server.problems import tell_problems
from server.routers import entrance, exports, health, methods, office, pairing, reports, sync
from server.settings import Settings
from server.surroundings import Surroundings, real_surroundings
from server.tries import Tries
from shared_models.wire import MAX_BODY_BYTES


def create_app(settings: Settings, surroundings: Surroundings | None = None) -> FastAPI:
    """Open the database and put the service together.

    Raises:
        StoreTrouble: when the database cannot be opened or written.
    """
    app = FastAPI(title="Rowend", version=version("rowend"), docs_url=None, redoc_url=None, lifespan=_lifespan)
    app.state.engine = open_database(settings.database_url)
    app.state.surroundings = surroundings or real_surroundings()
    app.state.tries = Tries()
    app.add_middleware(BodyLimit, max_bytes=MAX_BODY_BYTES)
    tell_problems(app)
    for part in (health, entrance, pairing, sync, reports, exports, office, methods):
        app.include_router(part.router)
    return app


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    yield
    app.state.engine.dispose()
