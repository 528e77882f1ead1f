"""ECDSA on the curve P-256 with SHA-256 (FIPS 186-5), by `cryptography`: for the service and a desk.

A phone signs and verifies with Android's own means instead. Both write keys and signatures alike: a public key is its
uncompressed point (65 bytes, SEC 1), a signature is in DER.
"""

from functools import lru_cache

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ec import (
    ECDSA,
    SECP256R1,
    EllipticCurvePrivateKey,
    EllipticCurvePublicKey,
    derive_private_key,
)
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

PRIVATE_BYTES = 32
#: order of the group (SP 800-186, 3.2.1.3)
_ORDER = 0xFFFFFFFF00000000FFFFFFFFFFFFFFFFBCE6FAADA7179E84F3B9CAC2FC632551


def private_key(random: bytes) -> bytes:
    """Make a private key from 32 random bytes."""
    return (int.from_bytes(random) % (_ORDER - 1) + 1).to_bytes(PRIVATE_BYTES)


def public_key(private: bytes) -> bytes:
    """The public key of a private key."""
    return _private(private).public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)


def sign(private: bytes, message: bytes) -> bytes:
    """Sign a message, deterministically (RFC 6979), so that a file which is made again is the same."""
    return _private(private).sign(message, ECDSA(SHA256(), deterministic_signing=True))


def verify(public: bytes, message: bytes, signature: bytes) -> bool:
    """Whether the holder of this key signed this message; False also for a key that is none."""
    try:
        _public(public).verify(signature, message, ECDSA(SHA256()))
    except (InvalidSignature, ValueError):
        return False
    return True


@lru_cache(maxsize=64)
def _private(private: bytes) -> EllipticCurvePrivateKey:
    return derive_private_key(int.from_bytes(private), SECP256R1())


@lru_cache(maxsize=256)
def _public(public: bytes) -> EllipticCurvePublicKey:
    return EllipticCurvePublicKey.from_encoded_point(SECP256R1(), public)
