"""The pairing link: all that a phone needs to join a farm's service, in one line that a QR code can hold.

    rowend://pair?at=https://192.168.1.20:8000&code=BCDFGHJK&pin=9f2c…

`at` is an address of the service (the best first, where there are several), `code` the one-time code, `pin` the sha256
of the service's certificate in hexadecimal. Whoever has the link may pair a phone once, as whoever has the code may.
The pin is no secret: it tells the phone which certificate to accept, and no other. With a pin, addresses are https.

A link comes from outside, so it is read strictly: what is not exactly as above is refused, not guessed at.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import parse_qsl, quote, urlsplit

from shared_models.errors import BadLink

SCHEME = "rowend"
LONGEST, MOST_ADDRESSES = 1000, 4
_START = f"{SCHEME}://pair?"
_CODE, _PIN = re.compile(r"[A-Z]{8}"), re.compile(r"[0-9a-f]{64}")
_PATH = re.compile(r"(/[\w.~-]+)*", re.ASCII)
_HOST = re.compile(r"[a-z0-9]([a-z0-9._-]*[a-z0-9])?|[0-9a-f:]+", re.IGNORECASE)

#: why a link can be refused
OTHER, TOO_NEW = "it is not a pairing link of this app", "it was made by a newer version of the app"
NO_ADDRESS, NO_CODE = "its address is not valid", "its code is not valid"
NO_PIN, NOT_SAFE = "its certificate fingerprint is damaged", "its address must start with https"


@dataclass(frozen=True, slots=True)
class PairingLink:
    """Where a service is reached, a one-time code, and the sha256 of its certificate where it has one of its own.

    Raises:
        BadLink: when it is made of what cannot be followed.
    """

    addresses: tuple[str, ...]
    code: str
    pin: str | None = None

    def __post_init__(self) -> None:
        if not 1 <= len(self.addresses) <= MOST_ADDRESSES or not all(map(_is_address, self.addresses)):
            raise BadLink(NO_ADDRESS)
        if self.pin is None:
            return
        if not _PIN.fullmatch(self.pin):
            raise BadLink(NO_PIN)
        if not all(address.startswith("https://") for address in self.addresses):
            raise BadLink(NOT_SAFE)

    def __str__(self) -> str:
        fields = [*(("at", address) for address in self.addresses), ("code", self.code)]
        fields += [("pin", self.pin)] if self.pin else []
        return _START + "&".join(f"{name}={quote(value, safe=':/[]')}" for name, value in fields)


def read_link(text: str) -> PairingLink:
    """Parse a link that was followed, pasted or scanned.

    Raises:
        BadLink: when it is not exactly a pairing link.
    """
    text = text.strip()
    if not text.startswith(_START) or len(text) > LONGEST or not text.isascii():
        raise BadLink(OTHER)
    try:
        fields = parse_qsl(text.removeprefix(_START), keep_blank_values=True, strict_parsing=True)
    except ValueError as problem:
        raise BadLink(OTHER) from problem
    if {name for name, _ in fields} - {"at", "code", "pin"}:
        raise BadLink(TOO_NEW)
    code, pin = _one(fields, "code") or "", _one(fields, "pin")
    if not _CODE.fullmatch(code):
        raise BadLink(NO_CODE)
    return PairingLink(tuple(value for name, value in fields if name == "at"), code, pin)


def is_link(text: str) -> bool:
    """Whether the text is meant as a link, not an address."""
    return text.strip().lower().startswith(f"{SCHEME}:")


def _one(fields: Sequence[tuple[str, str]], name: str) -> str | None:
    found = [value for each, value in fields if each == name]
    if len(found) > 1:
        raise BadLink(OTHER)
    return found[0] if found else None


def _is_address(address: str) -> bool:
    """Whether this is `http(s)://host[:port][/path]` and nothing more."""
    try:
        parts = urlsplit(address)
        port = parts.port
    except ValueError:
        return False
    host = parts.hostname or ""
    shown = f"[{host}]" if ":" in host else host
    whole = f"{parts.scheme}://{shown}{f':{port}' if port else ''}{parts.path}"
    known = parts.scheme in ("http", "https") and _HOST.fullmatch(host) and _PATH.fullmatch(parts.path)
    return bool(known) and whole.lower() == address.lower()
