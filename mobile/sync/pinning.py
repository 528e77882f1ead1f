"""Speaking with one certificate and no other: the one whose sha256 came with the pairing link.

It is compared while the connection is made, before anything is sent: neither a code nor a phone's credentials ever
reach a service that cannot show it. Who signed the certificate, for which name and until when, is not asked: the pin
says more.
"""
# mypy: disallow-subclassing-any=False

from __future__ import annotations

from typing import Any

import requests
from requests.adapters import HTTPAdapter

#: how urllib3 begins to tell of another certificate than the pinned one
_OTHER = "Fingerprints did not match"


class PinnedAdapter(HTTPAdapter):
    """Connects straight to the service, and only when its certificate is the pinned one."""

    def __init__(self, pin: str) -> None:
        self.pin = pin
        super().__init__()

    def init_poolmanager(self, *told: Any, **named: Any) -> None:
        """As always, with the fingerprint that every connection is held against."""
        super().init_poolmanager(*told, assert_fingerprint=self.pin, **named)

    def send(self, request: requests.PreparedRequest, *told: Any, **named: Any) -> requests.Response:
        """As always, but through no proxy, which would show its own certificate, and without asking who signed."""
        return super().send(request, *told, **{**named, "verify": False, "proxies": {}})


def speak_with(session: requests.Session, address: str, pin: str | None) -> None:
    """From now on, a session speaks at this address (https) with the pinned certificate only; with None, as ever."""
    place = f"{address}/"
    held = session.adapters.get(place)
    if isinstance(held, PinnedAdapter) and held.pin != pin:
        held.close()
        del session.adapters[place]
        held = None
    if pin is not None and held is None:
        session.mount(place, PinnedAdapter(pin))


def shows_another(problem: requests.exceptions.SSLError) -> bool:
    """Whether a connection failed because of another certificate than the pinned one."""
    return _OTHER in str(problem)
