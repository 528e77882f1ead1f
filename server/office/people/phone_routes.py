"""Routes of the farm's phones, for its owner."""

from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Cookie, Form, Path, Query, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from server.auth.dependencies import EngineOf, OwnerOf, ProvidersOf
from server.farms.pairing import CODE_LIFE
from server.farms.phones import let_send_again, remove_phone, start_pairing
from server.farms.undo_phone import undo_sent
from server.office.people.phones import pairing_page, phone_lines
from server.office.people.undo import parse_since, undo_page
from server.office.shell.context import ContextOf

router = APIRouter(include_in_schema=False)

#: holds the code while a page waits for the phone, so that it is in no address and no history
PAIRING_COOKIE = "rowend_pairing"
DONE = {
    "removed": "Phone removed. Its entries stay; it cannot sync any more.",
    "again": "It can send again. Its next sync brings the rest.",
}


@router.get("/phones")
def show_phones(context: ContextOf, _owner: OwnerOf, done: str = "") -> HTMLResponse:
    """Show all phones."""
    notice = context.localizer.t(DONE.get(done, ""))
    return context.show("people/phones.html", phones=phone_lines(context), done=notice, address="/phones")


@router.post("/phones/pair")
def pair(request: Request, owner: OwnerOf, engine: EngineOf, providers: ProvidersOf) -> Response:
    """Make a one-time code and show it."""
    answer = RedirectResponse("/phones/pair", status_code=303)
    answer.set_cookie(
        PAIRING_COOKIE,
        start_pairing(engine, owner.farm, providers),
        max_age=int(CODE_LIFE.total_seconds()),
        path="/phones",
        secure=request.url.scheme == "https",
        httponly=True,
        samesite="strict",
    )
    return answer


@router.get("/phones/pair")
def show_pairing(
    context: ContextOf, _owner: OwnerOf, code: Annotated[str, Cookie(alias=PAIRING_COOKIE)] = "", watch: str = ""
) -> Response:
    """Show the code, link and QR code until a phone has used them; with `watch`, the page reloads itself."""
    page = pairing_page(context, code) if code else None
    if page is None:
        return RedirectResponse("/phones", status_code=303)
    answer = context.show("people/pairing.html", page=page, watching=bool(watch))
    answer.headers["Cache-Control"] = "private, no-store"  # it shows the code
    return answer


@router.post("/phones/{phone}/remove")
def remove(
    owner: OwnerOf, engine: EngineOf, providers: ProvidersOf, phone: Annotated[str, Path(max_length=40)]
) -> Response:
    """Remove a phone."""
    remove_phone(engine, owner.farm, phone, providers.now())
    return RedirectResponse("/phones?done=removed", status_code=303)


@router.post("/phones/{phone}/again")
def send_again(
    owner: OwnerOf, engine: EngineOf, providers: ProvidersOf, phone: Annotated[str, Path(max_length=40)]
) -> Response:
    """Let a phone that reached a limit send again."""
    let_send_again(engine, owner.farm, phone, providers.now())
    return RedirectResponse("/phones?done=again", status_code=303)


@router.get("/phones/{phone}/undo")
def show_undo(
    context: ContextOf,
    _owner: OwnerOf,
    phone: Annotated[str, Path(max_length=40)],
    since: Annotated[str, Query(max_length=40)] = "",
    done: Annotated[str, Query(max_length=10)] = "",
) -> HTMLResponse:
    """Show what undoing what a phone sent would do."""
    page = undo_page(context, phone, parse_since(context, since))
    return context.show("people/undo.html", page=page, done=bool(done), address=f"/phones/{phone}/undo")


@router.post("/phones/{phone}/undo")
def undo(
    context: ContextOf,
    owner: OwnerOf,
    engine: EngineOf,
    providers: ProvidersOf,
    phone: Annotated[str, Path(max_length=40)],
    since: Annotated[str, Form(max_length=40)],
) -> Response:
    """Undo what a phone sent."""
    at, address = parse_since(context, since), f"/phones/{phone}/undo"
    undo_page(context, phone, None)
    if at is None:
        return RedirectResponse(address, status_code=303)
    undo_sent(engine, owner.farm, phone, at, owner.by, providers)
    return RedirectResponse(f"{address}?{urlencode({'since': since, 'done': '1'})}", status_code=303)
