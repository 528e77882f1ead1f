"""Who is asking: dependencies for routes, from the farm's device or somebody signed in to its office.

A route that shows a farm's records takes `FarmOf` (the farm's id) and `Reading` (a session on one state of the store):

    @router.get("/v1/beds")
    def beds(farm: FarmOf, session: Reading) -> list[BedRead]: ...

A page takes `OfficeOf` (who is signed in); one that is not for everybody takes `GrowerOf` or `OwnerOf` as well. Where
the cookie of the office is what lets a request in, and the request may change something, its form must carry the
session's token (`form_token`): nobody gets an `Office` without it.

Without credentials the request ends with `WrongSecret`; `problems.py` makes of it what a program or a browser can show.
"""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.security import APIKeyCookie, HTTPBearer
from fastapi.security.utils import get_authorization_scheme_param
from sqlalchemy import Engine
from sqlmodel import Session

from server.auth import sessions
from server.auth.accounts import KnownAccount
from server.auth.sign_in import SignIn
from server.auth.signing import CookieSigner
from server.farms.devices import KnownDevice, authenticate
from server.runtime.address import known_address
from server.runtime.providers import Providers
from shared_models.core.vocabulary import Role
from shared_models.errors import NotSignedIn, RoleNeeded, StaleForm, StoreTrouble, WrongSecret
from shared_models.log.store import reading, writing

OFFICE_COOKIE = "rowend_office"
FORM_TOKEN = "form_token"  # noqa: S105 - the name of a field
SAFE_METHODS = {"GET", "HEAD", "OPTIONS"}


# These are async because FastAPI runs any other dependency in a thread of its own, which takes longer than they do.


async def engine_of(request: Request) -> Engine:
    """The database of this service."""
    engine: Engine = request.app.state.engine
    return engine


async def surroundings_of(request: Request) -> Providers:
    """The time, ids and randomness of this service."""
    providers: Providers = request.app.state.providers
    return providers


async def door_of(request: Request) -> SignIn:
    """How people come in and go."""
    door: SignIn = request.app.state.door
    return door


async def seals_of(request: Request) -> CookieSigner:
    """What the office signs cookies and forms with."""
    seals: CookieSigner = request.app.state.seals
    return seals


EngineOf = Annotated[Engine, Depends(engine_of)]
SurroundingsOf = Annotated[Providers, Depends(surroundings_of)]
DoorOf = Annotated[SignIn, Depends(door_of)]
SealsOf = Annotated[CookieSigner, Depends(seals_of)]


def credentials_of(request: Request) -> str | None:
    """A device's credentials as they came with the request, not yet looked at."""
    scheme, credentials = get_authorization_scheme_param(request.headers.get("authorization"))
    return credentials if scheme.lower() == "bearer" else None


#: These two only tell OpenAPI how one signs in.
_PHONE = HTTPBearer(
    scheme_name="phone", description="A paired phone: its device id, a dot, and its secret.", auto_error=False
)
_OFFICE = APIKeyCookie(
    name=OFFICE_COOKIE,
    scheme_name="office",
    description="Somebody signed in to the office (POST /sign-in), who only reads here.",
    auto_error=False,
)


PhoneTold = Annotated[object, Depends(_PHONE)]
OfficeTold = Annotated[object, Depends(_OFFICE)]


def device_of(request: Request, _phone: PhoneTold = None) -> KnownDevice:
    """The paired phone that asks."""
    credentials = credentials_of(request)
    if credentials is None:
        raise WrongSecret
    with reading(request.app.state.engine) as connection:
        return authenticate(connection, credentials)


async def from_this_site(request: Request, engine: EngineOf) -> None:
    """Let no page of another site send a form here, whoever is signed in.

    Raises:
        StaleForm: when a browser says that the request comes from elsewhere.
    """
    if request.method in SAFE_METHODS or credentials_of(request) is not None:
        return
    site, origin = request.headers.get("sec-fetch-site"), request.headers.get("origin")
    if site is not None:
        elsewhere = site not in {"same-origin", "none"}
    else:
        elsewhere = origin is not None and not await run_in_threadpool(_is_ours, origin, request, engine)
    if elsewhere:
        raise StaleForm


def _is_ours(origin: str, request: Request, engine: Engine) -> bool:
    if origin.partition("://")[2] == request.headers.get("host"):
        return True
    with reading(engine) as connection:
        return origin == known_address(connection)  # behind a proxy that calls this service by another name


@dataclass(frozen=True, slots=True)
class Office:
    """Somebody signed in to a farm's office. `form_token` goes into every form, as a hidden field of that name."""

    account: KnownAccount
    session: str
    form_token: str

    @property
    def farm(self) -> str:
        """The id of the farm."""
        return self.account.farm

    @property
    def role(self) -> Role:
        """What this person may do."""
        return self.account.role

    @property
    def by(self) -> str | None:
        """Who makes this person's edits in the farm's log, where the account is known to be a person of it."""
        return self.account.person


async def form_token_of(request: Request) -> AsyncIterator[str | None]:
    """The token in the form that was sent, if it was a form; a file in it is closed when the answer is made."""
    if request.method in SAFE_METHODS or OFFICE_COOKIE not in request.cookies or credentials_of(request) is not None:
        yield None
        return
    async with request.form() as form:
        token = form.get(FORM_TOKEN)
        yield token if isinstance(token, str) else None


def office_asking(
    request: Request,
    engine: EngineOf,
    providers: SurroundingsOf,
    seals: SealsOf,
    form_token: Annotated[str | None, Depends(form_token_of)],
) -> Office | None:
    """Who asks from the office, if the request comes from there; a phone's credentials go before the cookie.

    Raises:
        StaleForm: when something may be changed and the token of the session did not come along.
    """
    cookie = request.cookies.get(OFFICE_COOKIE)
    session = cookie and seals.session(cookie)
    if not session or credentials_of(request) is not None:
        return None
    now = providers.now()
    with reading(engine) as connection:
        found = sessions.open_session(connection, session, now)
    if found is None:
        return None
    if request.method not in SAFE_METHODS and not seals.is_form_token(form_token, session):
        raise StaleForm
    if found.is_old:
        with suppress(StoreTrouble), writing(engine, found.account.farm) as connection:  # pages are read all the same
            sessions.note_use(connection, session, now)
    return Office(found.account, session, seals.form_token(session))


OfficeAsking = Annotated[Office | None, Depends(office_asking)]


def office_of(office: OfficeAsking) -> Office:
    """Who is signed in to the office and asks.

    Raises:
        NotSignedIn: when nobody is.
    """
    if office is None:
        raise NotSignedIn
    return office


OfficeOf = Annotated[Office, Depends(office_of)]


def requires(role: Role) -> Callable[[Office], Office]:
    """A dependency: who is signed in, if their role covers this one. Others get `RoleNeeded`."""

    def office_with_role(office: OfficeOf) -> Office:
        if not office.role.covers(role):
            raise RoleNeeded(role.value)
        return office

    return office_with_role


GrowerOf = Annotated[Office, Depends(requires(Role.GROWER))]
OwnerOf = Annotated[Office, Depends(requires(Role.OWNER))]


def farm_of(request: Request, office: OfficeAsking, _phone: PhoneTold = None, _office: OfficeTold = None) -> str:
    """The id of the farm whose device or office asks."""
    return device_of(request).farm if office is None else office.farm


def session_of(engine: EngineOf) -> Iterator[Session]:
    """A session that reads one state of the store."""
    with reading(engine) as connection, Session(connection) as session:
        yield session


DeviceOf = Annotated[KnownDevice, Depends(device_of)]
FarmOf = Annotated[str, Depends(farm_of)]
Reading = Annotated[Session, Depends(session_of)]
