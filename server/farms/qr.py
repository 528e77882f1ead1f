"""QR codes as text and as SVG, and the pairing link that is in most of them."""

import io

import segno
from sqlalchemy import Connection

from server.runtime.address import known_address, known_pin
from shared_models.sync.pairing_link import PairingLink

_QUIET_ZONE = 4
_PAGE_SCALE = 6


def pairing_link(connection: Connection, code: str) -> str:
    """The pairing link for a one-time code, with the address where the service was last reached.

    Raises:
        BadLink: when that address fits into no link.
    """
    return str(PairingLink((known_address(connection),), code, known_pin(connection)))


def pairing_qr_text(link: str) -> str:
    """A QR code in block characters, for a terminal with light text on dark."""
    drawn = io.StringIO()
    _code(link, "l").terminal(drawn, border=_QUIET_ZONE, compact=True)
    return drawn.getvalue().rstrip("\n")


def qr_svg(link: str) -> str:
    """A QR code as an SVG element, dark on white."""
    svg: str = _code(link, "m").svg_inline(
        scale=_PAGE_SCALE, border=_QUIET_ZONE, dark="#000", light="#fff", omitsize=True
    )
    return svg


def _code(link: str, error: str) -> segno.QRCode:
    """Error correction is "m" for paper, which may get damaged, and "l" for a terminal, which has few lines."""
    return segno.make_qr(link, error=error)
