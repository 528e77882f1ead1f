"""Secrets in the forms people and devices carry them, and the hashes that are kept of them."""

from __future__ import annotations

import hashlib
import hmac

#: Letters that are not taken for one another or for digits, and that spell no words.
LETTERS = "BCDFGHJKMNPRSTVWXYZ"
CODE_LENGTH = 8


def code_of(token: bytes) -> str:
    """A pairing code made of 32 random bytes."""
    number = int.from_bytes(token)
    letters = []
    for _ in range(CODE_LENGTH):
        number, place = divmod(number, len(LETTERS))
        letters.append(LETTERS[place])
    return "".join(letters)


def for_people(code: str) -> str:
    """A pairing code as it is read out: two groups of four letters."""
    return f"{code[:4]}-{code[4:]}"


def as_typed(text: str) -> str:
    """The pairing code that somebody meant who typed `text`, with or without gaps and capitals."""
    return "".join(letter for letter in text.upper() if letter in LETTERS)


def hash_of(secret: str) -> bytes:
    """What is kept of a secret."""
    return hashlib.sha256(secret.encode()).digest()


def matches(secret: str, kept: bytes | None) -> bool:
    """Whether `secret` is the one that `kept` was made of; takes as long when it is not."""
    return hmac.compare_digest(hash_of(secret), kept or bytes(hashlib.sha256().digest_size))


def bearer(device: str, secret: str) -> str:
    """The credentials of a device in one word."""
    return f"{device}.{secret}"
