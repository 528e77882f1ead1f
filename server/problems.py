"""What goes wrong, as HTTP: problem details (RFC 9457) for programs, a plain page for people."""

from __future__ import annotations

from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, JSONResponse, Response
from starlette.exceptions import HTTPException

from server.plain_page import plain_page
from shared_models.errors import (
    BadBody,
    BadEntry,
    BadQuantity,
    Refused,
    RowendError,
    StoreTrouble,
    TooManyTries,
    TooMuch,
    UnknownRecord,
    WrongMoment,
    WrongSecret,
)

MEDIA_TYPE = "application/problem+json"

STATUS: dict[type[RowendError], HTTPStatus] = {
    RowendError: HTTPStatus.INTERNAL_SERVER_ERROR,
    BadQuantity: HTTPStatus.UNPROCESSABLE_ENTITY,
    BadEntry: HTTPStatus.UNPROCESSABLE_ENTITY,
    WrongMoment: HTTPStatus.CONFLICT,
    UnknownRecord: HTTPStatus.NOT_FOUND,
    BadBody: HTTPStatus.BAD_REQUEST,
    TooMuch: HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
    Refused: HTTPStatus.FORBIDDEN,
    WrongSecret: HTTPStatus.UNAUTHORIZED,
    TooManyTries: HTTPStatus.TOO_MANY_REQUESTS,
    StoreTrouble: HTTPStatus.SERVICE_UNAVAILABLE,
}
"""What each class of error is in HTTP; a class that is not here is what its base is."""

_OUR_FAULT = "The service made a mistake. What was saved before stays; try again, and tell whoever looks after it."
_OFFICE_DOOR = (
    "This page opens with the farm's office link. Open the link you were given, or get a fresh one on the machine "
    "the service runs on with: rowend farm link"
)


def tell_problems(app: FastAPI) -> None:
    """Answer every error of this application in the form that the one who asked can use."""
    app.exception_handler(RowendError)(_on_rowend_error)
    app.exception_handler(RequestValidationError)(_on_invalid_request)
    app.exception_handler(HTTPException)(_on_http_error)
    app.exception_handler(Exception)(_on_mistake)


def status_of(error: RowendError) -> HTTPStatus:
    """The HTTP status of an error, by its nearest class in `STATUS`."""
    return next(STATUS[kind] for kind in type(error).__mro__ if kind in STATUS)


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


def _answer(request: Request, told: dict[str, Any], headers: dict[str, str] | None = None) -> Response:
    if "text/html" in request.headers.get("accept", "") and not request.url.path.startswith("/v1/"):
        unknown = told["code"] == WrongSecret.code
        page = plain_page(
            "The office is locked" if unknown else told["title"], _OFFICE_DOOR if unknown else told["detail"]
        )
        return HTMLResponse(page, told["status"], headers)
    return JSONResponse(told, told["status"], headers, media_type=MEDIA_TYPE)


async def _on_rowend_error(request: Request, error: RowendError) -> Response:
    more = {"problems": error.problems} if isinstance(error, BadEntry) else {}
    headers = {}
    if isinstance(error, WrongSecret):
        headers["WWW-Authenticate"] = "Bearer"
    if isinstance(error, TooManyTries):
        headers["Retry-After"] = str(error.wait_s)
    return _answer(request, problem(status_of(error), error.code, str(error), **more), headers)


async def _on_invalid_request(request: Request, error: RequestValidationError) -> Response:
    problems = {
        ".".join(str(part) for part in one["loc"][1:]) or str(one["loc"][0]): one["msg"] for one in error.errors()
    }
    told = "; ".join(f"{field}: {reason}" for field, reason in problems.items())
    detail = f"The request could not be read ({told}). Correct it and send it again."
    return _answer(request, problem(HTTPStatus.UNPROCESSABLE_ENTITY, "bad-request", detail, problems=problems))


async def _on_http_error(request: Request, error: HTTPException) -> Response:
    if isinstance(error.__cause__, RowendError):
        return await _on_rowend_error(request, error.__cause__)
    status = HTTPStatus(error.status_code)
    wrong_address = status in {HTTPStatus.NOT_FOUND, HTTPStatus.METHOD_NOT_ALLOWED}
    advice = "Check the address." if wrong_address else "Correct the request and send it again."
    detail = f"{error.detail} ({request.method} {request.url.path}). {advice}"
    headers = dict(error.headers) if error.headers else None
    return _answer(request, problem(status, status.phrase.lower().replace(" ", "-"), detail), headers)


async def _on_mistake(request: Request, _error: Exception) -> Response:
    return _answer(request, problem(HTTPStatus.INTERNAL_SERVER_ERROR, "mistake", _OUR_FAULT))
