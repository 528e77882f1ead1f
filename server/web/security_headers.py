"""Middleware that adds security headers to every response."""

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

SECURITY_HEADERS = {
    "Cache-Control": "private, no-store",
    "Content-Security-Policy": "default-src 'none'; base-uri 'none'; frame-ancestors 'none'",
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
}


def add_security_headers(headers: MutableHeaders) -> None:
    """Add each header of `SECURITY_HEADERS` that the route has not set itself."""
    for name, value in SECURITY_HEADERS.items():
        headers.setdefault(name, value)


class SecurityHeaders:
    """ASGI middleware that adds `SECURITY_HEADERS`."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                add_security_headers(MutableHeaders(scope=message))
            await send(message)

        await self._app(scope, receive, send_with_headers)
