"""A page of the office as the answer to a browser."""

from __future__ import annotations

from fastapi.responses import HTMLResponse

from server.office.shell.render import render
from server.render.localizer import Localizer

#: Pages run no script, take nothing from elsewhere, and are kept by nobody in between.
_GUARD = {
    "Content-Security-Policy": (
        "default-src 'none'; style-src 'self'; img-src data:; form-action 'self'; base-uri 'none'; "
        "frame-ancestors 'none'"
    ),
    "Cache-Control": "private, no-cache",
    "Referrer-Policy": "same-origin",  # with no-referrer, a browser does not say where a form comes from
    "X-Content-Type-Options": "nosniff",
}


def page(template: str, localizer: Localizer | None = None, status: int = 200, **told: object) -> HTMLResponse:
    """A guarded page, for the farm that asked and nobody else."""
    return HTMLResponse(render(template, localizer, **told), status, headers=_GUARD)
