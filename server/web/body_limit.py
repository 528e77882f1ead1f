"""Middleware that caps the size of request bodies."""

from http import HTTPStatus

from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from shared_models.errors import TooLarge

#: a body is read and discarded up to this many times the limit, so that the sender gets to read the response
_DISCARD_FACTOR = 4


class BodyLimit:
    """Ends a request with `TooLarge` once its body exceeds `max_bytes`.

    It goes as the cause of an HTTPException: while it reads a body, FastAPI lets no other exception pass.
    """

    def __init__(self, app: ASGIApp, max_bytes: int) -> None:
        self._app, self._max_bytes = app, max_bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        received = 0

        async def receive_capped() -> Message:
            nonlocal received
            message = await receive()
            received += len(message.get("body", b""))
            if received <= self._max_bytes:
                return message
            while message.get("more_body", False) and received <= self._max_bytes * _DISCARD_FACTOR:
                message = await receive()
                received += len(message.get("body", b""))
            raise HTTPException(HTTPStatus.REQUEST_ENTITY_TOO_LARGE) from TooLarge(self._max_bytes)

        await self._app(scope, receive_capped, send)
