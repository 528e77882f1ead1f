"""What every answer tells browsers, and whoever stands in between, unless its route has told them something else."""

from __future__ import annotations

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

GUARD = {
    "Cache-Control": "private, no-store",
    "Content-Security-Policy": "default-src 'none'; base-uri 'none'; frame-ancestors 'none'",
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
}
"""Nobody keeps it, shows it within a page of their own, or takes it for another kind of file than it says."""


def guard(headers: MutableHeaders) -> None:
    """Add what is missing of `GUARD`."""
    for name, told in GUARD.items():
        headers.setdefault(name, told)


class Guard:
    """Adds what is missing of `GUARD` to each answer."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, and its answer back guarded."""

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                guard(MutableHeaders(scope=message))
            await send(message)

        await self._app(scope, receive, guarded)
