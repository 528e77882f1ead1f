"""One's own account, and, for owners, who may sign in."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from typing import Annotated

from fastapi import APIRouter, Form, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlalchemy import Engine

from server.auth import invitations
from server.auth.dependencies import DoorOf, EngineOf, OfficeOf, OwnerOf, SurroundingsOf
from server.error_handlers import status_of
from server.farms.qr import pairing_qr_svg
from server.office.people.accounts import ROLES, access_page
from server.office.people.sign_in_routes import Typed
from server.office.shell.context import Desk, DeskOf
from server.office.shell.visitor import in_words
from server.runtime.address import known_address, only_this_machine
from shared_models.core.vocabulary import Role
from shared_models.errors import BadEntry, RowendError, TooManyTries, WrongPassword
from shared_models.log.store import reading

router = APIRouter(include_in_schema=False)


DONE = {
    "password": "The new password is kept.",
    "elsewhere": "You are signed out everywhere but here.",
    "changed": "Saved.",
    "withdrawn": "Withdrawn: the link opens nothing any more.",
    "ended": "The account is ended, and is signed out wherever it was signed in.",
}


@router.get("/account")
def show_account(desk: DeskOf, done: str = "") -> HTMLResponse:
    """Who is signed in, with what there is to change."""
    return _account(desk, done=desk.speech.say(DONE.get(done, "")))


@router.post("/account/password")
def change_password(desk: DeskOf, door: DoorOf, password: Typed = "", again: Typed = "", now: Typed = "") -> Response:
    """Let another password open the account."""
    office, say = desk.office, desk.speech.say
    try:
        door.change_password(office.account, office.session, now, password, again)
    except BadEntry as problem:
        return _account(desk, problem, {name: desk.speech.told(why) for name, why in problem.problems.items()})
    except WrongPassword as problem:
        return _account(desk, problem, {"now": say("this is not the password so far")})
    except TooManyTries as problem:
        return _account(desk, problem, sentence=in_words(desk.speech, problem))
    return _go("/account?done=password")


@router.post("/account/sign-out-elsewhere")
def sign_out_elsewhere(office: OfficeOf, door: DoorOf) -> Response:
    """End every other session of the account."""
    door.sign_out_elsewhere(office.account, office.session)
    return _go("/account?done=elsewhere")


@router.get("/access")
def show_access(desk: DeskOf, _owner: OwnerOf, done: str = "") -> HTMLResponse:
    """Who may sign in, and with which role."""
    return desk.show(
        "people/accounts.html", page=access_page(desk), done=desk.speech.say(DONE.get(done, "")), address="/access"
    )


@router.post("/access")
def invite(
    desk: DeskOf, owner: OwnerOf, engine: EngineOf, surroundings: SurroundingsOf, role: Annotated[Role, Form()]
) -> HTMLResponse:
    """Make a link that lets one person in, and show it this once."""
    key = invitations.invite(engine, owner.account, role, surroundings)
    told = desk.speech.say("A link for one person: {role}", role=desk.speech.say(ROLES[role]))
    return _fresh_link(desk, engine, told, key)


@router.post("/access/links/{link}/withdraw")
def withdraw(owner: OwnerOf, engine: EngineOf, link: str) -> Response:
    """Let an invitation that nobody has used open nothing."""
    invitations.withdraw(engine, owner.account, link)
    return _go("/access?done=withdrawn")


@router.post("/access/{account}")
def change(
    owner: OwnerOf,
    engine: EngineOf,
    account: str,
    role: Annotated[Role, Form()],
    person: Annotated[str, Form(max_length=40)] = "",
) -> Response:
    """Change somebody's role, and which person of the log they are."""
    invitations.change(engine, owner.account, account, role, person or None)
    return _go("/access?done=changed")


@router.post("/access/{account}/password-link")
def link_for_password(
    desk: DeskOf, owner: OwnerOf, engine: EngineOf, surroundings: SurroundingsOf, account: str
) -> HTMLResponse:
    """Make a link with which somebody chooses a new password, and show it this once."""
    meant, key = invitations.link_for_password(engine, owner.account, account, surroundings)
    told = desk.speech.say("A link for {name} to choose a new password", name=meant.name)
    return _fresh_link(desk, engine, told, key)


@router.post("/access/{account}/end")
def end(owner: OwnerOf, engine: EngineOf, surroundings: SurroundingsOf, account: str) -> Response:
    """Let an account open nothing any more."""
    invitations.end(engine, owner.account, account, surroundings)
    return _go("/access?done=ended")


def _go(path: str) -> Response:
    return RedirectResponse(path, status_code=303)


def _fresh_link(desk: Desk, engine: Engine, title: str, key: str) -> HTMLResponse:
    with reading(engine) as connection:
        address = known_address(connection)
    url, only_here = f"{address}/enter/{key}", only_this_machine(address)
    answer = desk.show(
        "people/fresh_link.html", title=title, url=url, qr=pairing_qr_svg(url), only_here=only_here, address="/access"
    )
    answer.headers["Cache-Control"] = "private, no-store"
    return answer


def _account(
    desk: Desk,
    problem: RowendError | None = None,
    problems: Mapping[str, str] | None = None,
    sentence: str = "",
    done: str = "",
) -> HTMLResponse:
    role = desk.speech.say(ROLES[desk.office.role])
    answer = desk.show(
        "people/account.html",
        role=role,
        problems=defaultdict(str, problems or {}),
        sentence=sentence,
        done=done,
        address="/account",
    )
    if problem:
        answer.status_code = status_of(problem)
    return answer
