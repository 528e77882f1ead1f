"""Pairing codes and hashes of secrets."""

import hashlib
import hmac

#: letters that are not mistaken for one another or for digits, and that spell no words
CODE_ALPHABET = "BCDFGHJKMNPRSTVWXYZ"
CODE_LENGTH = 8


def pairing_code(token: bytes) -> str:
    """Make a pairing code from 32 random bytes."""
    number = int.from_bytes(token)
    letters = []
    for _ in range(CODE_LENGTH):
        number, index = divmod(number, len(CODE_ALPHABET))
        letters.append(CODE_ALPHABET[index])
    return "".join(letters)


def format_code(code: str) -> str:
    """Format a code for reading: two groups of four letters."""
    return f"{code[:4]}-{code[4:]}"


def parse_code(text: str) -> str:
    """Parse a typed code, with or without spaces, dashes and capitals."""
    return "".join(letter for letter in text.upper() if letter in CODE_ALPHABET)


def hash_token(secret: str) -> bytes:
    """Hash a random secret (sha256)."""
    return hashlib.sha256(secret.encode()).digest()


def token_matches(secret: str, secret_hash: bytes | None) -> bool:
    """Compare a secret with a hash in constant time."""
    return hmac.compare_digest(hash_token(secret), secret_hash or bytes(hashlib.sha256().digest_size))
