"""The pairing link, and the QR code that holds it: for a terminal and for a page."""

from __future__ import annotations

import io

import segno
from sqlalchemy import Connection

from server.runtime.address import known_address, known_pin
from shared_models.sync.pairing_link import PairingLink

_QUIET_ZONE = 4
_PAGE_SCALE = 6


def pairing_link(connection: Connection, code: str) -> str:
    """The link by which a phone joins with the one-time `code`, at the address where the service was last reached.

    Raises:
        BadLink: when that address is not one that a phone can be told.
    """
    return str(PairingLink((known_address(connection),), code, known_pin(connection)))


def pairing_qr_text(link: str) -> str:
    """The QR code of a link in block characters, for a terminal that writes light on dark."""
    drawn = io.StringIO()
    _code(link, "l").terminal(drawn, border=_QUIET_ZONE, compact=True)
    return drawn.getvalue().rstrip("\n")


def pairing_qr_svg(link: str) -> str:
    """The QR code of a link as an SVG element for a page, dark on white whatever the page's colours are.

    A page gives it a name for people who cannot see it, and shows the code and the address beside it.
    """
    svg: str = _code(link, "m").svg_inline(
        scale=_PAGE_SCALE, border=_QUIET_ZONE, dark="#000", light="#fff", omitsize=True
    )
    return svg


def _code(link: str, error: str) -> segno.QRCode:
    """On paper a code should stand some damage (m); a terminal has few lines, and takes none (l)."""
    return segno.make_qr(link, error=error)
