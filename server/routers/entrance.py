"""The office link: it leaves a key in the browser and opens the office."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse

from server.access import OFFICE_COOKIE, EngineOf
from server.office_keys import farm_of_key
from shared_models.store import reading

_SEASON_S = 365 * 86_400

router = APIRouter(include_in_schema=False)


@router.get("/enter/{key}")
def enter(key: str, request: Request, engine: EngineOf) -> RedirectResponse:
    """Check the key, leave it with the browser, and go to the office."""
    with reading(engine) as connection:
        farm_of_key(connection, key)
    answer = RedirectResponse("/", status_code=303, headers={"Cache-Control": "no-store"})
    # Not Strict: a browser keeps a strict cookie back right after a click in somebody's web mail, and the door stays
    # shut. Lax still sends it with no request but a page that somebody opens.
    secure = request.url.scheme == "https"
    answer.set_cookie(OFFICE_COOKIE, key, max_age=_SEASON_S, httponly=True, samesite="lax", secure=secure)
    return answer
