"""The phones of the farm, for its owner: pairing one, seeing how each stands, taking one off."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Cookie, Path, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse

from server.auth.dependencies import EngineOf, OwnerOf, SurroundingsOf
from server.farms.pairing import CODE_LIFE
from server.farms.phones import begin_pairing, remove
from server.office.people.phones import pairing_page, phone_lines
from server.office.shell.context import ContextOf

router = APIRouter(include_in_schema=False)

#: holds the code while a page waits for the phone: it stands in no address and no history
PAIRING_COOKIE = "rowend_pairing"
DONE = {"removed": "Removed. Its lines stay; it syncs no more, and says so when it tries."}


@router.get("/phones")
def show_phones(context: ContextOf, _owner: OwnerOf, done: str = "") -> HTMLResponse:
    """Every phone, and how to pair one."""
    told = context.localizer.t(DONE.get(done, ""))
    return context.show("people/phones.html", phones=phone_lines(context), done=told, address="/phones")


@router.post("/phones/pair")
def pair(request: Request, owner: OwnerOf, engine: EngineOf, providers: SurroundingsOf) -> Response:
    """Make a one-time code, and wait for the phone that uses it."""
    answer = RedirectResponse("/phones/pair", status_code=303)
    answer.set_cookie(
        PAIRING_COOKIE,
        begin_pairing(engine, owner.farm, providers),
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
    """The code, the link and the QR code, until a phone has used them; with `watch` the page looks by itself."""
    page = pairing_page(context, code) if code else None
    if page is None:
        return RedirectResponse("/phones", status_code=303)
    answer = context.show("people/pairing.html", page=page, watching=bool(watch))
    answer.headers["Cache-Control"] = "private, no-store"  # the code stands on it
    return answer


@router.post("/phones/{phone}/remove")
def take_off(
    owner: OwnerOf, engine: EngineOf, providers: SurroundingsOf, phone: Annotated[str, Path(max_length=40)]
) -> Response:
    """Let a phone sync no more."""
    remove(engine, owner.farm, phone, providers.now())
    return RedirectResponse("/phones?done=removed", status_code=303)
