"""Routes of the own account, and of all accounts for owners."""

from collections import defaultdict
from collections.abc import Mapping
from typing import Annotated

from fastapi import APIRouter, Form, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from sqlalchemy import Engine

from server.auth import invitations
from server.auth.dependencies import EngineOf, OfficeOf, OwnerOf, ProvidersOf, SignInOf
from server.farms.qr import qr_svg
from server.office.people.accounts import access_page
from server.office.people.sign_in_routes import Typed
from server.office.shell.context import ContextOf, OfficeContext
from server.runtime.address import is_this_machine_only, known_address
from server.web.status import status_of
from shared_models.core.vocabulary import Role
from shared_models.errors import BadEntry, RowendError, TooManyTries, WrongPassword
from shared_models.i18n.labels import ROLES, inline
from shared_models.log.store import reading

router = APIRouter(include_in_schema=False)


DONE = {
    "password": "Password changed.",
    "elsewhere": "Signed out everywhere else.",
    "changed": "Saved.",
    "revoked": "Link revoked. It does not work any more.",
    "closed": "Account closed and signed out everywhere.",
}


@router.get("/account")
def show_account(context: ContextOf, done: str = "") -> HTMLResponse:
    """Show the own account."""
    return _account(context, done=context.localizer.t(DONE.get(done, "")))


@router.post("/account/password")
def change_password(
    context: ContextOf, auth: SignInOf, password: Typed = "", again: Typed = "", now: Typed = ""
) -> Response:
    """Change the own password."""
    office, t = context.office, context.localizer.t
    try:
        auth.change_password(office.account, office.session, now, password, again)
    except BadEntry as problem:
        reasons = {name: context.localizer.t_lazy(reason) for name, reason in problem.problems.items()}
        return _account(context, problem, reasons)
    except WrongPassword as problem:
        return _account(context, problem, {"now": t("wrong password")})
    except TooManyTries as problem:
        return _account(context, problem, sentence=context.localizer.t_lazy(problem.message))
    return _go("/account?done=password")


@router.post("/account/sign-out-elsewhere")
def sign_out_elsewhere(office: OfficeOf, auth: SignInOf) -> Response:
    """End every other session of the account."""
    auth.sign_out_elsewhere(office.account, office.session)
    return _go("/account?done=elsewhere")


@router.get("/access")
def show_access(context: ContextOf, _owner: OwnerOf, done: str = "") -> HTMLResponse:
    """Show all accounts and invitations."""
    return context.show(
        "people/accounts.html",
        page=access_page(context),
        done=context.localizer.t(DONE.get(done, "")),
        address="/access",
    )


@router.post("/access")
def invite(
    context: ContextOf, owner: OwnerOf, engine: EngineOf, providers: ProvidersOf, role: Annotated[Role, Form()]
) -> HTMLResponse:
    """Make an invitation, and show its link this once."""
    key = invitations.invite(engine, owner.account, role, providers)
    t = context.localizer.t
    return _new_link(context, engine, t("Link for a new account: {role}", role=inline(t(ROLES[role]))), key)


@router.post("/access/links/{link}/revoke")
def revoke(owner: OwnerOf, engine: EngineOf, link: str) -> Response:
    """Revoke an unused invitation."""
    invitations.revoke(engine, owner.account, link)
    return _go("/access?done=revoked")


@router.post("/access/{account}")
def change_account(
    owner: OwnerOf,
    engine: EngineOf,
    account: str,
    role: Annotated[Role, Form()],
    person: Annotated[str, Form(max_length=40)] = "",
) -> Response:
    """Change the role of an account, and which person of the log it is."""
    invitations.change_account(engine, owner.account, account, role, person or None)
    return _go("/access?done=changed")


@router.post("/access/{account}/password-link")
def make_password_link(
    context: ContextOf, owner: OwnerOf, engine: EngineOf, providers: ProvidersOf, account: str
) -> HTMLResponse:
    """Make a link for choosing a new password, and show it this once."""
    holder, key = invitations.password_link(engine, owner.account, account, providers)
    return _new_link(context, engine, context.localizer.t("Link for a new password: {name}", name=holder.name), key)


@router.post("/access/{account}/close")
def close_account(owner: OwnerOf, engine: EngineOf, providers: ProvidersOf, account: str) -> Response:
    """Close an account."""
    invitations.close_account(engine, owner.account, account, providers)
    return _go("/access?done=closed")


def _go(path: str) -> Response:
    return RedirectResponse(path, status_code=303)


def _new_link(context: OfficeContext, engine: Engine, title: str, key: str) -> HTMLResponse:
    with reading(engine) as connection:
        address = known_address(connection)
    url, local_only = f"{address}/enter/{key}", is_this_machine_only(address)
    answer = context.show(
        "people/new_link.html", title=title, url=url, qr=qr_svg(url), local_only=local_only, address="/access"
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
