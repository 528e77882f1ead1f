"""Build the service's application from its parts."""

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.metadata import version

from fastapi import Depends, FastAPI

from server.api import exports, health, pairing, reports, sync
from server.auth.dependencies import require_same_site
from server.auth.rate_limit import RateLimiter
from server.auth.sign_in import SignIn
from server.auth.signing import cookie_signer
from server.db.database import open_database
from server.error_handlers import add_error_handlers
from server.farms.idle_check import IdleCheck, check_while_idle
from server.office.log import inspector_record_route
from server.office.log import routes as log
from server.office.methods import routes as methods
from server.office.people import account_routes, language_routes, phone_routes, sign_in_routes
from server.office.reports import routes as office
from server.office.setup import routes as setup
from server.runtime.providers import Providers, real_providers
from server.runtime.settings import Settings
from server.web.body_limit import BodyLimit
from server.web.input_checks import check_input
from server.web.security_headers import SecurityHeaders
from shared_models.sync.wire import MAX_BODY_BYTES

#: a request to pair is a few hundred bytes, and anybody may send one
_PAIR_BYTES = 16 * 1024


def create_app(settings: Settings, providers: Providers | None = None) -> FastAPI:
    """Open the database and build the application.

    Raises:
        StorageError: when the database cannot be opened or written.
    """
    app = FastAPI(
        title="Rowend",
        version=version("rowend"),
        docs_url=None,
        redoc_url=None,
        lifespan=_lifespan,
        redirect_slashes=False,  # it would send browsers to whatever host the request names
        dependencies=[Depends(check_input), Depends(require_same_site)],
    )
    engine, providers = open_database(settings.database_url), providers or real_providers()
    app.state.engine, app.state.providers = engine, providers
    app.state.rate_limiter = RateLimiter()
    app.state.signer = cookie_signer(engine, providers.token())
    app.state.sign_in = SignIn(engine, providers)
    app.add_middleware(BodyLimit, max_bytes=MAX_BODY_BYTES, by_path={"/v1/pair": _PAIR_BYTES})
    app.add_middleware(SecurityHeaders)
    add_error_handlers(app)
    parts = (
        health,
        sign_in_routes,
        account_routes,
        pairing,
        sync,
        reports,
        exports,
        office,
        log,
        inspector_record_route,
        setup,
        phone_routes,
        methods,
        language_routes,
    )
    for part in parts:
        app.include_router(part.router)
    return app


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    stop = asyncio.Event()
    checking = asyncio.create_task(check_while_idle(IdleCheck(app.state.engine), stop))
    yield
    stop.set()
    await checking
    app.state.engine.dispose()
