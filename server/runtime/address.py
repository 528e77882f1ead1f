"""The service's address: saved when it starts, printed by the commands and links for people."""

import ipaddress
import socket
from urllib.parse import urlsplit

from sqlalchemy import Connection, Engine

from server.db.meta import get_meta, set_meta

DEFAULT_HOST, DEFAULT_PORT = "127.0.0.1", 8000
_NAME, _PIN = "address", "pin"
_EVERYWHERE = {"", "0.0.0.0", "::"}  # noqa: S104 - compared with, not bound to
#: Reserved for documentation (RFC 5737). Choosing a route to it sends nothing.
_ELSEWHERE = ("192.0.2.1", 9)


def address_of(host: str, port: int, *, tls: bool = False) -> str:
    """The URL for people and phones of a service that listens on `host` and `port`."""
    shown, scheme = _own_address() if listens_on_all(host) else host, "https" if tls else "http"
    return f"{scheme}://[{shown}]:{port}" if ":" in shown else f"{scheme}://{shown}:{port}"


def listens_on_all(host: str) -> bool:
    """Whether listening on `host` means listening on every network."""
    return host in _EVERYWHERE


def _own_address() -> str:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(_ELSEWHERE)
        except OSError:  # no network now
            return DEFAULT_HOST
        return str(probe.getsockname()[0])


def note_address(engine: Engine, address: str, pin: str | None = None) -> None:
    """Save the service's address and the sha256 of its certificate."""
    set_meta(engine, _NAME, address)
    set_meta(engine, _PIN, pin or "")


def known_address(connection: Connection) -> str:
    """The address saved last, or the default one."""
    return get_meta(connection, _NAME) or address_of(DEFAULT_HOST, DEFAULT_PORT)


def known_pin(connection: Connection) -> str | None:
    """The sha256 of the certificate saved last, None for none."""
    return get_meta(connection, _PIN) or None


def is_this_machine_only(address: str) -> bool:
    """Whether the address is a loopback one, which no phone can reach."""
    host = urlsplit(address).hostname or ""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"
