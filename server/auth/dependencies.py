"""Dependencies for routes: the caller, from a phone's credentials or an office session.

A route that shows a farm's records takes `FarmOf` (the farm's id) and `Reading` (a session on one state of the store):

    @router.get("/v1/beds")
    def beds(farm: FarmOf, session: Reading) -> list[BedRead]: ...

A page takes `OfficeOf` (who is signed in); one that is not for everybody takes `GrowerOf` or `OwnerOf` as well. Where
the cookie of the office is what lets a request in, and the request may change something, its form must carry the
session's token (`form_token`): nobody gets an `Office` without it.

Without credentials the request ends with `WrongSecret`, which `error_handlers.py` answers.
"""

from collections.abc import AsyncIterator, Awaitable, Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import Depends, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.security import APIKeyCookie, HTTPBearer
from fastapi.security.utils import get_authorization_scheme_param
from sqlalchemy import Engine
from sqlmodel import Session

from server.auth import sessions
from server.auth.accounts import AccountRow
from server.auth.sign_in import SignIn
from server.auth.signing import CookieSigner
from server.farms.devices import DeviceRow, authenticate
from server.runtime.address import known_address
from server.runtime.providers import Providers
from shared_models.core.vocabulary import Role
from shared_models.errors import NotSignedIn, RoleNeeded, StaleForm, StorageError, WrongSecret
from shared_models.log.store import reading, writing

OFFICE_COOKIE = "rowend_office"
#: tells a browser on which somebody signed in before; opens nothing
BROWSER_COOKIE = "rowend_browser"
FORM_TOKEN = "form_token"  # noqa: S105 - the name of a field
SAFE_METHODS = {"GET", "HEAD", "OPTIONS"}


def _from_state(name: str) -> Callable[[Request], Awaitable[Any]]:
    """A dependency on a part of the application; async, as FastAPI runs others in a thread, which takes longer."""

    async def part(request: Request) -> Any:
        return getattr(request.app.state, name)

    return part


EngineOf = Annotated[Engine, Depends(_from_state("engine"))]
ProvidersOf = Annotated[Providers, Depends(_from_state("providers"))]
SignInOf = Annotated[SignIn, Depends(_from_state("sign_in"))]
SignerOf = Annotated[CookieSigner, Depends(_from_state("signer"))]


def credentials_of(request: Request) -> str | None:
    """The bearer credentials of the request, not yet checked."""
    scheme, credentials = get_authorization_scheme_param(request.headers.get("authorization"))
    return credentials if scheme.lower() == "bearer" else None


#: for OpenAPI only
_PHONE = HTTPBearer(
    scheme_name="phone", description="A paired phone: its device id, a dot, and its secret.", auto_error=False
)
_OFFICE = APIKeyCookie(
    name=OFFICE_COOKIE,
    scheme_name="office",
    description="Somebody signed in to the office (POST /sign-in), who only reads here.",
    auto_error=False,
)


PhoneScheme = Annotated[object, Depends(_PHONE)]
OfficeScheme = Annotated[object, Depends(_OFFICE)]


def device_of(request: Request, _phone: PhoneScheme = None) -> DeviceRow:
    """The paired phone that sent the request."""
    credentials = credentials_of(request)
    if credentials is None:
        raise WrongSecret
    with reading(request.app.state.engine) as connection:
        return authenticate(connection, credentials)


async def require_same_site(request: Request, engine: EngineOf) -> None:
    """Reject forms sent by pages of other sites (CSRF), whoever is signed in.

    Raises:
        StaleForm: when the browser's headers name another site.
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
    """A signed-in office user. `form_token` goes into every form, as a hidden field of that name."""

    account: AccountRow
    session: str
    form_token: str

    @property
    def farm(self) -> str:
        return self.account.farm

    @property
    def role(self) -> Role:
        return self.account.role

    @property
    def by(self) -> str | None:
        """The person of the farm's log to whom edits are credited, if the account is linked to one."""
        return self.account.person


async def form_token_of(request: Request) -> AsyncIterator[str | None]:
    """The token of the submitted form, if any; files of the form are closed after the response."""
    if request.method in SAFE_METHODS or OFFICE_COOKIE not in request.cookies or credentials_of(request) is not None:
        yield None
        return
    async with request.form() as form:
        token = form.get(FORM_TOKEN)
        yield token if isinstance(token, str) else None


def optional_office(
    request: Request,
    engine: EngineOf,
    providers: ProvidersOf,
    signer: SignerOf,
    form_token: Annotated[str | None, Depends(form_token_of)],
) -> Office | None:
    """The office user of the request, or None; a phone's credentials take precedence over the cookie.

    Raises:
        StaleForm: when a changing request lacks the token of its session.
    """
    cookie = request.cookies.get(OFFICE_COOKIE)
    session = cookie and signer.session(cookie)
    if not session or credentials_of(request) is not None:
        return None
    now = providers.now()
    with reading(engine) as connection:
        found = sessions.find_session(connection, session, now)
    if found is None:
        return None
    if request.method not in SAFE_METHODS and not signer.is_form_token(form_token, session):
        raise StaleForm
    if found.is_stale:
        with suppress(StorageError), writing(engine, found.account.farm) as connection:  # pages are read all the same
            sessions.refresh(connection, session, now)
    return Office(found.account, session, signer.form_token(session))


OptionalOffice = Annotated[Office | None, Depends(optional_office)]


def office_of(office: OptionalOffice) -> Office:
    """The office user of the request.

    Raises:
        NotSignedIn: when nobody is signed in.
    """
    if office is None:
        raise NotSignedIn
    return office


OfficeOf = Annotated[Office, Depends(office_of)]


def requires(role: Role) -> Callable[[Office], Office]:
    """A dependency: the office user, if their role covers this one; else `RoleNeeded`."""

    def office_with_role(office: OfficeOf) -> Office:
        if not office.role.covers(role):
            raise RoleNeeded(role.value)
        return office

    return office_with_role


GrowerOf = Annotated[Office, Depends(requires(Role.GROWER))]
OwnerOf = Annotated[Office, Depends(requires(Role.OWNER))]


def farm_of(request: Request, office: OptionalOffice, _phone: PhoneScheme = None, _office: OfficeScheme = None) -> str:
    """The id of the farm whose phone or office sent the request."""
    return device_of(request).farm if office is None else office.farm


def session_of(engine: EngineOf) -> Iterator[Session]:
    """A session that reads one state of the store."""
    with reading(engine) as connection, Session(connection) as session:
        yield session


DeviceOf = Annotated[DeviceRow, Depends(device_of)]
FarmOf = Annotated[str, Depends(farm_of)]
Reading = Annotated[Session, Depends(session_of)]
