"""Routes to sign in, use a one-time link and sign out. Nothing happens before a form is sent."""

from collections import defaultdict
from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import RedirectResponse, Response

from server.auth import sessions
from server.auth.accounts import NewAccount
from server.auth.dependencies import (
    BROWSER_COOKIE,
    OFFICE_COOKIE,
    EngineOf,
    OfficeOf,
    OptionalOffice,
    ProvidersOf,
    SignerOf,
    SignInOf,
)
from server.auth.known_places import BROWSER_LIFE, KnownBrowser
from server.auth.one_time_links import Link
from server.auth.sign_in import SignedIn, SignIn
from server.auth.signing import CookieSigner
from server.db.tables import LinkPurpose
from server.farms.registry import get_farm
from server.office.shell.public_pages import local_path, public_page, sign_in_page
from server.render.localizer import Localizer
from server.runtime.providers import Providers
from server.web.language import language_of
from server.web.status import status_of
from shared_models.errors import BadEntry, TooManyTries, WrongPassword
from shared_models.log.store import reading

router = APIRouter(include_in_schema=False)

Typed = Annotated[str, Form(max_length=400)]
#: the QR code of a planting record names every log it stands on
PageAddress = Annotated[str, Form(max_length=4000)]

TITLES = {
    LinkPurpose.JOIN: "Your account",
    LinkPurpose.PASSWORD: "Choose a new password",
    LinkPurpose.SIGN_IN: "Welcome",
}
EXPLANATIONS = {
    LinkPurpose.JOIN: "This link makes one account. After that, sign in with your sign-in name and password.",
    LinkPurpose.PASSWORD: "Your old password stops working, and you are signed out everywhere else.",
    LinkPurpose.SIGN_IN: "This link signs you in once, on this device.",
}


@router.get("/sign-in")
def show_sign_in(request: Request, office: OptionalOffice, back: str = "/") -> Response:
    """Show the sign-in page; redirect if already signed in."""
    return _redirect(back) if office else sign_in_page(request, back)


@router.post("/sign-in")
def sign_in(
    request: Request,
    auth: SignInOf,
    signer: SignerOf,
    providers: ProvidersOf,
    sign_in: Typed = "",
    password: Typed = "",
    back: PageAddress = "/",
) -> Response:
    """Sign in, and redirect to the requested page."""
    address = request.client.host if request.client else ""
    try:
        signed_in = auth.sign_in(sign_in, password, address, _known_browser(request, signer))
    except (WrongPassword, TooManyTries) as problem:
        answer: Response = sign_in_page(request, back, problem, sign_in, status_of(problem))
        if isinstance(problem, TooManyTries):
            answer.headers["Retry-After"] = str(problem.wait_s)
        return answer
    return _signed_in(request, signer, providers, signed_in, back)


@router.get("/enter/{key}")
def show_link(key: str, request: Request, auth: SignInOf, engine: EngineOf) -> Response:
    """Show the form of a one-time link; the link still works afterwards."""
    return _link_page(request, engine, auth.link(key))


@router.post("/enter/{key}")
def use_link(
    key: str,
    request: Request,
    auth: SignInOf,
    engine: EngineOf,
    signer: SignerOf,
    providers: ProvidersOf,
    name: Typed = "",
    sign_in: Typed = "",
    password: Typed = "",
    again: Typed = "",
) -> Response:
    """Use a one-time link."""
    link, new = auth.link(key), NewAccount(name, sign_in, password, again)
    try:
        signed_in = _use(auth, link, key, new)
    except BadEntry as problem:
        return _link_page(request, engine, link, new, problem)
    return _signed_in(request, signer, providers, signed_in, "/")


def _use(auth: SignIn, link: Link, key: str, new: NewAccount) -> SignedIn:
    match link.purpose:
        case LinkPurpose.JOIN:
            return auth.join(key, new)
        case LinkPurpose.PASSWORD:
            return auth.reset_password(key, new.password, new.again)
        case LinkPurpose.SIGN_IN:
            return auth.sign_in_by_link(key)


@router.post("/sign-out")
def sign_out(office: OfficeOf, auth: SignInOf) -> Response:
    """End this session."""
    auth.sign_out(office.account, office.session)
    answer = _redirect("/sign-in")
    answer.delete_cookie(OFFICE_COOKIE)
    answer.headers["Clear-Site-Data"] = '"cache"'  # the next person cannot go back to the pages
    return answer


def _redirect(back: str) -> Response:
    return RedirectResponse(local_path(back), status_code=303, headers={"Cache-Control": "no-store"})


def _known_browser(request: Request, signer: CookieSigner) -> KnownBrowser | None:
    return signer.browser(request.cookies.get(BROWSER_COOKIE, ""))


def _signed_in(
    request: Request, signer: CookieSigner, providers: Providers, signed_in: SignedIn, back: str
) -> Response:
    answer = _redirect(back)
    browser = _known_browser(request, signer) or KnownBrowser(providers.token().hex())
    cookies = (
        (OFFICE_COOKIE, signer.cookie(signed_in.session), sessions.MAX_AGE),
        (BROWSER_COOKIE, signer.browser_cookie(browser.with_account(signed_in.account)), BROWSER_LIFE),
    )
    for name, value, life in cookies:
        # Not Strict: after a click on a link in web mail, a browser holds back a strict cookie. Lax sends it from other
        # sites only with a page that somebody opens.
        answer.set_cookie(
            name,
            value,
            max_age=round(life.total_seconds()),
            httponly=True,
            samesite="lax",
            secure=request.url.scheme == "https",
        )
    return answer


def _link_page(
    request: Request, engine: EngineOf, link: Link, typed: NewAccount | None = None, problem: BadEntry | None = None
) -> Response:
    localizer = Localizer(language_of(request))
    with reading(engine) as connection:
        farm = get_farm(connection, link.farm)
    reasons = problem.problems if problem else {}
    return public_page(
        request,
        "people/one_time_link.html",
        status_of(problem) if problem else 200,
        farm=(farm and farm.name) or "",
        purpose=link.purpose.value,
        title=localizer.t(TITLES[link.purpose]),
        explanation=localizer.t(EXPLANATIONS[link.purpose]),
        typed=typed or NewAccount("", "", "", ""),
        problems=defaultdict(str, {field: localizer.t_lazy(reason) for field, reason in reasons.items()}),
        sentence="",
    )
