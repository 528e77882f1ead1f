"""Identifiers: UUIDs that begin with the time they were made, so that new ones sort and store beside each other.

The id of a device is made from its public key instead, so nobody else can write that device's log.
"""

import hashlib
import re
import uuid

_RANDOM_BITS = 74
_CANONICAL = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")


def time_ordered_id(now_ms: int, random_bits: int) -> str:
    """Make a version 7 UUID (RFC 9562) from milliseconds since 1970 and at least 74 random bits."""
    high, low = divmod(random_bits % (1 << _RANDOM_BITS), 1 << 62)
    clock = max(now_ms, 0) % (1 << 48)
    return str(uuid.UUID(int=clock << 80 | 0x7 << 76 | high << 64 | 0b10 << 62 | low))


def device_id(public_key: bytes) -> str:
    """Make a device's id from its public key: a version 8 UUID (RFC 9562), 122 bits of a SHA-256."""
    bits = int.from_bytes(hashlib.sha256(b"rowend device\n" + public_key).digest()[:16])
    return str(uuid.UUID(int=bits & ~(0xF << 76) & ~(0b11 << 62) | 0x8 << 76 | 0b10 << 62))


def made_ms(record: str) -> int | None:
    """When an id was made, in milliseconds since 1970 by its maker's clock; None for other versions."""
    made = uuid.UUID(record)
    return made.int >> 80 if made.version == 7 else None  # noqa: PLR2004 - the version whose ids begin with the time


def is_id(text: object) -> bool:
    """Whether `text` is a UUID in its canonical lower-case form."""
    return isinstance(text, str) and _CANONICAL.fullmatch(text) is not None
