"""Where the service is reached: noted by whoever serves, read by the commands that tell people an address."""

from __future__ import annotations

import ipaddress
import socket
from urllib.parse import urlsplit

from sqlalchemy import Connection, Engine

from server.db.meta import note, noted

DEFAULT_HOST, DEFAULT_PORT = "127.0.0.1", 8000
_NAME, _PIN = "address", "pin"
_EVERYWHERE = {"", "0.0.0.0", "::"}  # noqa: S104 - compared with, not bound to
#: Reserved for documentation (RFC 5737). Choosing a route to it sends nothing.
_SOMEWHERE_ELSE = ("192.0.2.1", 9)


def address_of(host: str, port: int, *, tls: bool = False) -> str:
    """The address to tell people for a service that listens on `host` and `port`."""
    shown, scheme = _own_address() if everywhere(host) else host, "https" if tls else "http"
    return f"{scheme}://[{shown}]:{port}" if ":" in shown else f"{scheme}://{shown}:{port}"


def everywhere(host: str) -> bool:
    """Whether to listen on this host is to listen on every network."""
    return host in _EVERYWHERE


def _own_address() -> str:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(_SOMEWHERE_ELSE)
        except OSError:  # no network now
            return DEFAULT_HOST
        return str(asking.getsockname()[0])


def note_address(engine: Engine, address: str, pin: str | None = None) -> None:
    """Remember where the service is reached, and by which certificate of its own."""
    note(engine, _NAME, address)
    note(engine, _PIN, pin or "")


def known_address(connection: Connection) -> str:
    """Where the service was last reached, or will be when nothing else is chosen."""
    return noted(connection, _NAME) or address_of(DEFAULT_HOST, DEFAULT_PORT)


def known_pin(connection: Connection) -> str | None:
    """The sha256 of the certificate with which the service was last reached, None where it had none of its own."""
    return noted(connection, _PIN) or None


def only_this_machine(address: str) -> bool:
    """Whether no phone can reach this address."""
    host = urlsplit(address).hostname or ""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"
