"""Coming in and going out: the sign-in, one-time links, the sign-out. Nothing happens before a form is sent."""

from __future__ import annotations

from collections import defaultdict
from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import RedirectResponse, Response

from server.auth import sessions
from server.auth.accounts import Wanted
from server.auth.dependencies import OFFICE_COOKIE, DoorOf, EngineOf, OfficeAsking, OfficeOf, SealsOf
from server.auth.one_time_links import Link
from server.auth.sign_in import SignIn
from server.auth.signing import CookieSigner
from server.db.tables import LinkPurpose
from server.farms.registry import farm_with_id
from server.office.shell.visitor import local_path, sign_in_page, visitor_page
from server.render.localizer import Localizer
from server.web.language import language_of
from server.web.status import status_of
from shared_models.errors import BadEntry, TooManyTries, WrongPassword
from shared_models.log.store import reading

router = APIRouter(include_in_schema=False)

Typed = Annotated[str, Form(max_length=400)]

TITLES = {
    LinkPurpose.JOIN: "Your account",
    LinkPurpose.PASSWORD: "A new password",
    LinkPurpose.SIGN_IN: "Welcome",
}
TOLD = {
    LinkPurpose.JOIN: "This link makes one account. From then on you sign in with the name and the password.",
    LinkPurpose.PASSWORD: "The password so far opens nothing any more, and you are signed out everywhere else.",
    LinkPurpose.SIGN_IN: "This link opens the office once, on this device.",
}


@router.get("/sign-in")
def show_sign_in(request: Request, office: OfficeAsking, back: str = "/") -> Response:
    """Ask for name and password; whoever is signed in goes on."""
    return _go(back) if office else sign_in_page(request, back)


@router.post("/sign-in")
def sign_in(
    request: Request, door: DoorOf, seals: SealsOf, sign_in: Typed = "", password: Typed = "", back: Typed = "/"
) -> Response:
    """Check name and password, and go on to the page that was asked for."""
    address = request.client.host if request.client else ""
    try:
        session = door.sign_in(sign_in, password, address)
    except (WrongPassword, TooManyTries) as problem:
        answer: Response = sign_in_page(request, back, problem, sign_in, status_of(problem))
        if isinstance(problem, TooManyTries):
            answer.headers["Retry-After"] = str(problem.wait_s)
        return answer
    return _let_in(request, seals, session, back)


@router.get("/enter/{key}")
def show_link(key: str, request: Request, door: DoorOf, engine: EngineOf) -> Response:
    """Show what a one-time link is for; it stays good."""
    return _link_page(request, engine, door.link(key))


@router.post("/enter/{key}")
def use_link(
    key: str,
    request: Request,
    door: DoorOf,
    engine: EngineOf,
    seals: SealsOf,
    name: Typed = "",
    sign_in: Typed = "",
    password: Typed = "",
    again: Typed = "",
) -> Response:
    """Use a one-time link up, and open the office."""
    link, wanted = door.link(key), Wanted(name, sign_in, password, again)
    try:
        session = _through(door, link, key, wanted)
    except BadEntry as problem:
        return _link_page(request, engine, link, wanted, problem)
    return _let_in(request, seals, session, "/")


def _through(door: SignIn, link: Link, key: str, wanted: Wanted) -> str:
    match link.purpose:
        case LinkPurpose.JOIN:
            return door.join(key, wanted)
        case LinkPurpose.PASSWORD:
            return door.renew_password(key, wanted.password, wanted.again)
        case LinkPurpose.SIGN_IN:
            return door.step_in(key)


@router.post("/sign-out")
def sign_out(office: OfficeOf, door: DoorOf) -> Response:
    """End this session."""
    door.sign_out(office.account, office.session)
    answer = _go("/sign-in")
    answer.delete_cookie(OFFICE_COOKIE)
    answer.headers["Clear-Site-Data"] = '"cache"'  # nobody who comes after goes back to the pages
    return answer


def _go(back: str) -> Response:
    return RedirectResponse(local_path(back), status_code=303, headers={"Cache-Control": "no-store"})


def _let_in(request: Request, seals: CookieSigner, session: str, back: str) -> Response:
    answer = _go(back)
    # Not Strict: a browser keeps a strict cookie back right after a click in somebody's web mail, and the door stays
    # shut. Lax still sends it with no request of another site but a page that somebody opens.
    answer.set_cookie(
        OFFICE_COOKIE,
        seals.cookie(session),
        max_age=round(sessions.LONGEST.total_seconds()),
        httponly=True,
        samesite="lax",
        secure=request.url.scheme == "https",
    )
    return answer


def _link_page(
    request: Request, engine: EngineOf, link: Link, typed: Wanted | None = None, problem: BadEntry | None = None
) -> Response:
    localizer = Localizer(language_of(request))
    with reading(engine) as connection:
        farm = farm_with_id(connection, link.farm)
    reasons = problem.problems if problem else {}
    return visitor_page(
        request,
        "people/one_time_link.html",
        status_of(problem) if problem else 200,
        farm=(farm and farm.name) or "",
        purpose=link.purpose.value,
        title=localizer.t(TITLES[link.purpose]),
        told=localizer.t(TOLD[link.purpose]),
        typed=typed or Wanted("", "", "", ""),
        problems=defaultdict(str, {field: localizer.t_lazy(reason) for field, reason in reasons.items()}),
        sentence="",
    )
