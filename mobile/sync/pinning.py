"""Certificate pinning: connections only to the certificate whose sha256 came with the pairing link.

It is compared while the connection is made, before anything is sent: neither a code nor a phone's credentials ever
reach a service that cannot show it. Issuer, name and dates of the certificate are not checked: the pin says more.
"""
# mypy: disallow-subclassing-any=False

from typing import Any

import requests
from typing_extensions import override

from mobile.sync.time_limit import TimedAdapter

#: how urllib3's error about another certificate than the pinned one begins
_OTHER = "Fingerprints did not match"


class PinnedAdapter(TimedAdapter):
    """Connects straight to the service, and only when its certificate is the pinned one."""

    def __init__(self, pin: str) -> None:
        self.pin = pin
        super().__init__()

    @override
    def init_poolmanager(self, *args: Any, **kwargs: Any) -> None:
        super().init_poolmanager(*args, assert_fingerprint=self.pin, **kwargs)

    @override
    def send(self, request: requests.PreparedRequest, *args: Any, **kwargs: Any) -> requests.Response:
        """Send through no proxy, which would show its own certificate, and without checking who signed."""
        return super().send(request, *args, **{**kwargs, "verify": False, "proxies": {}})


def use_certificate(session: requests.Session, address: str, pin: str | None) -> None:
    """Pin a session's connections to this address (https); with None, unpin them."""
    prefix = f"{address}/"
    held = session.adapters.get(prefix)
    if isinstance(held, PinnedAdapter) and held.pin != pin:
        held.close()
        del session.adapters[prefix]
        held = None
    if pin is not None and held is None:
        session.mount(prefix, PinnedAdapter(pin))


def is_other_certificate(problem: requests.exceptions.SSLError) -> bool:
    """Whether a connection failed because of another certificate than the pinned one."""
    return _OTHER in str(problem)
