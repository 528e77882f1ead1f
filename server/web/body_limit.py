"""Middleware that caps the size of request bodies."""

from collections.abc import Mapping
from http import HTTPStatus

from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from shared_models.errors import TooLarge

#: a body is read and discarded up to this many times the limit, so that the sender gets to read the response
_DISCARD_FACTOR = 4


class BodyLimit:
    """Ends a request with `TooLarge` once its body exceeds `max_bytes`, or what `by_path` says of its path.

    A body that says beforehand that it is larger is not kept at all.

    It goes as the cause of an HTTPException: while it reads a body, FastAPI lets no other exception pass.
    """

    def __init__(self, app: ASGIApp, max_bytes: int, by_path: Mapping[str, int] | None = None) -> None:
        self._app, self._max_bytes, self._by_path = app, max_bytes, by_path or {}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        max_bytes = self._by_path.get(scope.get("path", ""), self._max_bytes)
        received = max_bytes + 1 if _declared(scope) > max_bytes else 0

        async def receive_capped() -> Message:
            nonlocal received
            message = await receive()
            received += len(message.get("body", b""))
            if received <= max_bytes:
                return message
            while message.get("more_body", False) and received <= max_bytes * _DISCARD_FACTOR:
                message = await receive()
                received += len(message.get("body", b""))
            raise HTTPException(HTTPStatus.REQUEST_ENTITY_TOO_LARGE) from TooLarge(max_bytes)

        await self._app(scope, receive_capped, send)


def _declared(scope: Scope) -> int:
    """The length that a request says its body has."""
    length = Headers(raw=scope.get("headers", [])).get("content-length", "")
    return int(length) if length.isdecimal() else 0
