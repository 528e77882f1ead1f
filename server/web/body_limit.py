"""No request body is read further than a limit, whoever sends it and whichever route it is for."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from shared_models.errors import TooMuch

TOO_LARGE = 413
#: This many times the limit is still taken and thrown away, so that the sender gets to hear the answer.
_PATIENCE = 4


class BodyLimit:
    """Ends a request with `TooMuch` as soon as more than `max_bytes` of its body have come.

    It goes as the cause of an HTTPException: while it reads a body, FastAPI lets no other exception pass.
    """

    def __init__(self, app: ASGIApp, max_bytes: int) -> None:
        self._app, self._max_bytes = app, max_bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on with its body bounded."""
        taken = 0

        async def bounded() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken <= self._max_bytes:
                return message
            while message.get("more_body", False) and taken <= self._max_bytes * _PATIENCE:
                message = await receive()
                taken += len(message.get("body", b""))
            raise HTTPException(TOO_LARGE) from TooMuch(self._max_bytes)

        await self._app(scope, bounded, send)
