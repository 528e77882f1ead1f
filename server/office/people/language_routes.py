"""The choice of a language, kept in a cookie."""

from typing import Annotated

from fastapi import APIRouter, Form, Request
from fastapi.responses import RedirectResponse

from server.office.shell.public_pages import local_path
from server.web.language import LANGUAGE_COOKIE
from shared_models.i18n.conventions import LANGUAGES

_FIVE_YEARS_S = 5 * 365 * 86_400

router = APIRouter(include_in_schema=False)


@router.post("/language")
def choose_language(
    request: Request, language: Annotated[str, Form()], back: Annotated[str, Form(max_length=2000)] = "/"
) -> RedirectResponse:
    """Remember the language and go back; an unknown one is ignored."""
    answer = RedirectResponse(local_path(back), status_code=303)
    if language in LANGUAGES:
        secure = request.url.scheme == "https"
        answer.set_cookie(
            LANGUAGE_COOKIE, language, max_age=_FIVE_YEARS_S, httponly=True, samesite="lax", secure=secure
        )
    return answer
