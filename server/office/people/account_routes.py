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
from server.farms.qr import pairing_qr_svg
from server.office.people.accounts import access_page
from server.office.people.sign_in_routes import Typed
from server.office.shell.context import ContextOf, OfficeContext
from server.office.shell.visitor import in_words
from server.runtime.address import known_address, only_this_machine
from server.web.status import status_of
from shared_models.core.vocabulary import Role
from shared_models.errors import BadEntry, RowendError, TooManyTries, WrongPassword
from shared_models.i18n.labels import ROLES, inline
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
def show_account(context: ContextOf, done: str = "") -> HTMLResponse:
    """Who is signed in, with what there is to change."""
    return _account(context, done=context.localizer.t(DONE.get(done, "")))


@router.post("/account/password")
def change_password(
    context: ContextOf, door: DoorOf, password: Typed = "", again: Typed = "", now: Typed = ""
) -> Response:
    """Let another password open the account."""
    office, t = context.office, context.localizer.t
    try:
        door.change_password(office.account, office.session, now, password, again)
    except BadEntry as problem:
        return _account(
            context, problem, {name: context.localizer.t_lazy(why) for name, why in problem.problems.items()}
        )
    except WrongPassword as problem:
        return _account(context, problem, {"now": t("this is not the password so far")})
    except TooManyTries as problem:
        return _account(context, problem, sentence=in_words(context.localizer, problem))
    return _go("/account?done=password")


@router.post("/account/sign-out-elsewhere")
def sign_out_elsewhere(office: OfficeOf, door: DoorOf) -> Response:
    """End every other session of the account."""
    door.sign_out_elsewhere(office.account, office.session)
    return _go("/account?done=elsewhere")


@router.get("/access")
def show_access(context: ContextOf, _owner: OwnerOf, done: str = "") -> HTMLResponse:
    """Who may sign in, and with which role."""
    return context.show(
        "people/accounts.html",
        page=access_page(context),
        done=context.localizer.t(DONE.get(done, "")),
        address="/access",
    )


@router.post("/access")
def invite(
    context: ContextOf, owner: OwnerOf, engine: EngineOf, providers: SurroundingsOf, role: Annotated[Role, Form()]
) -> HTMLResponse:
    """Make a link that lets one person in, and show it this once."""
    key = invitations.invite(engine, owner.account, role, providers)
    told = context.localizer.t("A link for one person: {role}", role=inline(context.localizer.t(ROLES[role])))
    return _fresh_link(context, engine, told, key)


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
    context: ContextOf, owner: OwnerOf, engine: EngineOf, providers: SurroundingsOf, account: str
) -> HTMLResponse:
    """Make a link with which somebody chooses a new password, and show it this once."""
    meant, key = invitations.link_for_password(engine, owner.account, account, providers)
    told = context.localizer.t("A link for {name} to choose a new password", name=meant.name)
    return _fresh_link(context, engine, told, key)


@router.post("/access/{account}/end")
def end(owner: OwnerOf, engine: EngineOf, providers: SurroundingsOf, account: str) -> Response:
    """Let an account open nothing any more."""
    invitations.end(engine, owner.account, account, providers)
    return _go("/access?done=ended")


def _go(path: str) -> Response:
    return RedirectResponse(path, status_code=303)


def _fresh_link(context: OfficeContext, engine: Engine, title: str, key: str) -> HTMLResponse:
    with reading(engine) as connection:
        address = known_address(connection)
    url, only_here = f"{address}/enter/{key}", only_this_machine(address)
    answer = context.show(
        "people/fresh_link.html", title=title, url=url, qr=pairing_qr_svg(url), only_here=only_here, address="/access"
    )
    answer.headers["Cache-Control"] = "private, no-store"
    return answer


def _account(
    context: OfficeContext,
    problem: RowendError | None = None,
    problems: Mapping[str, str] | None = None,
    sentence: str = "",
    done: str = "",
) -> HTMLResponse:
    role = context.localizer.t(ROLES[context.office.role])
    answer = context.show(
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
