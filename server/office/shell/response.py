"""HTML responses of the office with their security headers."""

from fastapi.responses import HTMLResponse

from server.office.shell.render import render
from server.render.localizer import Localizer

_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; style-src 'self'; img-src data:; form-action 'self'; base-uri 'none'; "
        "frame-ancestors 'none'"
    ),
    "Cache-Control": "private, no-cache",
    "Referrer-Policy": "same-origin",  # with no-referrer, browsers send no Origin with a form
    "X-Content-Type-Options": "nosniff",
}


def page(template: str, localizer: Localizer | None = None, status: int = 200, **values: object) -> HTMLResponse:
    """Render a template as a response that runs no script and loads nothing from elsewhere."""
    return HTMLResponse(render(template, localizer, **values), status, headers=_HEADERS)
