"""Services on the local network that claim to be the paired one.

Android finds them by mDNS (`server/runtime/mdns.py` is the other end). What they announce is hearsay: anybody on the
network can repeat the fingerprint of another's certificate, and give any address. So what is found is only ever an
address to try, and always by TLS: the sync client sends nothing there before that certificate itself was shown. A
service that was paired without a certificate is not searched for, since it could not prove to be it, and a service that
speaks plain HTTP is never found.
"""

from collections.abc import Iterator
from typing import Protocol


class ServiceDiscovery(Protocol):
    """Searches the local network."""

    def with_certificate(self, pin: str) -> Iterator[str]:
        """Addresses (https) whose service announces the certificate of this pin. Searching takes some seconds."""
