"""Errors as HTTP: problem details (RFC 9457) for programs, a page for people."""

from collections.abc import Mapping
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect

from server.office.shell.public_pages import OTHER_TITLE, TITLES, public_page, sign_in_page
from server.render.localizer import Localizer
from server.web.language import language_of
from server.web.security_headers import add_security_headers
from server.web.status import status_of
from shared_models.errors import BadEntry, OverLimit, RoleNeeded, RowendError, TooManyTries, WrongSecret
from shared_models.lazy_message import LazyMessage
from shared_models.records.problems import problem_of

MEDIA_TYPE = "application/problem+json"

_OUR_MISTAKE = LazyMessage(
    "The service made a mistake. Everything saved before is safe. Try again, and tell whoever runs the service."
)


def add_error_handlers(app: FastAPI) -> None:
    """Answer every error of an application in the form that the client can use."""
    app.exception_handler(RowendError)(_on_rowend_error)
    app.exception_handler(RequestValidationError)(_on_invalid_request)
    app.exception_handler(HTTPException)(_on_http_error)
    app.exception_handler(ClientDisconnect)(_on_disconnect)
    app.exception_handler(Exception)(_on_mistake)


def problem_details(status: HTTPStatus, code: str, detail: LazyMessage, **more: Any) -> dict[str, Any]:
    """The members of a problem (RFC 9457). `code` is the stable word for programs."""
    title = code.replace("-", " ").capitalize()
    base = {"type": f"urn:rowend:{code}", "title": title, "status": int(status), "detail": detail, "code": code}
    return base | more


def _answer(request: Request, problem: dict[str, Any], headers: Mapping[str, str] | None = None) -> Response:
    if "text/html" not in request.headers.get("accept", "") or request.url.path.startswith("/v1/"):
        return JSONResponse(problem, problem["status"], headers, media_type=MEDIA_TYPE)
    if problem["status"] == HTTPStatus.UNAUTHORIZED:
        page = sign_in_page(request, _page_after_sign_in(request), status=problem["status"])
    else:
        localizer = Localizer(language_of(request))
        title = localizer.t(TITLES.get(problem["code"], OTHER_TITLE))
        sentence = localizer.t_lazy(problem["detail"])
        page = public_page(
            request, "layout/problem.html", problem["status"], title=title, sentence=sentence, address=""
        )
    page.headers.update(headers or {})
    return page


def _page_after_sign_in(request: Request) -> str:
    """The page to show after signing in; a change is not repeated unseen, so its page is the first one."""
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
    if isinstance(error, TooManyTries | OverLimit):
        headers["Retry-After"] = str(error.wait_s)
    return _answer(request, problem_details(status_of(error), error.code, error.message, **more), headers)


async def _on_invalid_request(request: Request, error: RequestValidationError) -> Response:
    problems = {
        ".".join(str(part) for part in one["loc"][1:]) or str(one["loc"][0]): problem_of(one) for one in error.errors()
    }
    each = tuple(LazyMessage.labelled(field, reason) for field, reason in problems.items())
    detail = LazyMessage("The request could not be read ({problems}). Correct it and send it again.", problems=each)
    return _answer(request, problem_details(HTTPStatus.UNPROCESSABLE_ENTITY, "bad-request", detail, problems=problems))


async def _on_http_error(request: Request, error: HTTPException) -> Response:
    if isinstance(error.__cause__, RowendError):
        return await _on_rowend_error(request, error.__cause__)
    status = HTTPStatus(error.status_code)
    address = {"method": request.method, "path": request.url.path}
    if status in {HTTPStatus.NOT_FOUND, HTTPStatus.METHOD_NOT_ALLOWED}:
        detail = LazyMessage("There is nothing at this address ({method} {path}). Check the address.", **address)
    else:
        detail = LazyMessage(
            "{reason} ({method} {path}). Correct the request and send it again.", reason=error.detail, **address
        )
    return _answer(request, problem_details(status, status.phrase.lower().replace(" ", "-"), detail), error.headers)


async def _on_disconnect(_request: Request, _error: ClientDisconnect) -> Response:
    """Answer nobody: a sender that hangs up in the middle of its request is no mistake of the service."""
    return Response(status_code=HTTPStatus.BAD_REQUEST)


async def _on_mistake(request: Request, _error: Exception) -> Response:
    answer = _answer(request, problem_details(HTTPStatus.INTERNAL_SERVER_ERROR, "mistake", _OUR_MISTAKE))
    add_security_headers(answer.headers)  # this answer passes no middleware
    return answer
