"""Where a device keeps the key pairs with which it signs its log."""

from collections.abc import Callable
from typing import Protocol

Verify = Callable[[bytes, bytes, bytes], bool]
"""Whether the holder of this public key signed this message, by this signature."""

Sign = Callable[[bytes, bytes], bytes | None]
"""The signature, by the private key of this public key, of a message; None when that key is not on this machine."""


class KeyStore(Protocol):
    """The key pairs of this device. A private key never leaves it."""

    def create(self) -> bytes:
        """Make a key pair and return its public key (P-256, uncompressed point)."""

    def sign(self, public_key: bytes, message: bytes) -> bytes | None:
        """Sign a message with the private key that belongs to a public key; None when it is not here."""

    def verify(self, public_key: bytes, message: bytes, signature: bytes) -> bool:
        """Whether the holder of this key signed this message."""
