"""What goes wrong, as HTTP: problem details (RFC 9457) for programs, a page for people."""

from __future__ import annotations

from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException

from server.office.shell.public_pages import OTHER_TITLE, TITLES, error_text, public_page, sign_in_page
from server.render.localizer import Localizer
from server.web.language import language_of
from server.web.security_headers import add_security_headers
from server.web.status import status_of
from shared_models.errors import BadEntry, RoleNeeded, RowendError, TooManyTries, WrongSecret
from shared_models.i18n.lazy import LazyMessage

MEDIA_TYPE = "application/problem+json"

_OUR_FAULT = LazyMessage(
    "The service made a mistake. What was saved before stays; try again, and tell whoever looks after it."
)


def tell_problems(app: FastAPI) -> None:
    """Answer every error of this application in the form that the one who asked can use."""
    app.exception_handler(RowendError)(_on_rowend_error)
    app.exception_handler(RequestValidationError)(_on_invalid_request)
    app.exception_handler(HTTPException)(_on_http_error)
    app.exception_handler(Exception)(_on_mistake)


def problem(status: HTTPStatus, code: str, detail: str, **more: Any) -> dict[str, Any]:
    """The members of a problem. `code` is the stable word that programs go by."""
    title = code.replace("-", " ").capitalize()
    return {
        "type": f"urn:rowend:{code}",
        "title": title,
        "status": int(status),
        "detail": detail,
        "code": code,
        **more,
    }


def _answer(
    request: Request, told: dict[str, Any], headers: dict[str, str] | None = None, error: RowendError | None = None
) -> Response:
    if "text/html" not in request.headers.get("accept", "") or request.url.path.startswith("/v1/"):
        return JSONResponse(told, told["status"], headers, media_type=MEDIA_TYPE)
    if told["status"] == HTTPStatus.UNAUTHORIZED:
        page = sign_in_page(request, _asked_for(request), status=told["status"])
    else:
        localizer = Localizer(language_of(request))
        sentence = error_text(localizer, error) if error else localizer.t_lazy(told["detail"])
        title = localizer.t(TITLES.get(told["code"], OTHER_TITLE))
        page = public_page(request, "layout/problem.html", told["status"], title=title, sentence=sentence, address="")
    page.headers.update(headers or {})
    return page


def _asked_for(request: Request) -> str:
    """The page to show after the sign-in. What was to be changed is asked for again, not done unseen."""
    if request.method != "GET":
        return "/"
    return request.url.path + (f"?{request.url.query}" if request.url.query else "")


async def _on_rowend_error(request: Request, error: RowendError) -> Response:
    more: dict[str, Any] = {"problems": error.problems} if isinstance(error, BadEntry) else {}
    if isinstance(error, RoleNeeded):
        more = {"role": error.role}
    headers = {}
    if isinstance(error, WrongSecret):
        headers["WWW-Authenticate"] = "Bearer"
    if isinstance(error, TooManyTries):
        headers["Retry-After"] = str(error.wait_s)
    return _answer(request, problem(status_of(error), error.code, str(error), **more), headers, error)


async def _on_invalid_request(request: Request, error: RequestValidationError) -> Response:
    problems = {
        ".".join(str(part) for part in one["loc"][1:]) or str(one["loc"][0]): one["msg"] for one in error.errors()
    }
    told = "; ".join(f"{field}: {reason}" for field, reason in problems.items())
    detail = LazyMessage("The request could not be read ({told}). Correct it and send it again.", told=told)
    return _answer(request, problem(HTTPStatus.UNPROCESSABLE_ENTITY, "bad-request", detail, problems=problems))


async def _on_http_error(request: Request, error: HTTPException) -> Response:
    if isinstance(error.__cause__, RowendError):
        return await _on_rowend_error(request, error.__cause__)
    status = HTTPStatus(error.status_code)
    asked = {"method": request.method, "path": request.url.path}
    if status in {HTTPStatus.NOT_FOUND, HTTPStatus.METHOD_NOT_ALLOWED}:
        detail = LazyMessage("There is nothing at this address ({method} {path}). Check the address.", **asked)
    else:
        detail = LazyMessage(
            "{reason} ({method} {path}). Correct the request and send it again.", reason=error.detail, **asked
        )
    headers = dict(error.headers) if error.headers else None
    return _answer(request, problem(status, status.phrase.lower().replace(" ", "-"), detail), headers)


async def _on_mistake(request: Request, _error: Exception) -> Response:
    answer = _answer(request, problem(HTTPStatus.INTERNAL_SERVER_ERROR, "mistake", _OUR_FAULT))
    add_security_headers(answer.headers)  # it is sent past every middleware
    return answer
