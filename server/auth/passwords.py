"""Passwords: how good one must be, what is kept of it, and whether one is right."""

from __future__ import annotations

import threading
import unicodedata

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from shared_models.i18n.lazy import LazyMessage

SHORTEST, LONGEST = 10, 200
FEWEST_LETTERS = 5
#: A hash takes 64 MiB (the library's choice, RFC 9106, second recommended option); a small computer in a barn has few.
_AT_ONCE = 2


class Passwords:
    """Makes and checks hashes, no more than a few at once."""

    def __init__(self, hasher: PasswordHasher | None = None) -> None:
        self._hasher = hasher or PasswordHasher()
        self._few = threading.BoundedSemaphore(_AT_ONCE)

    def hash_of(self, password: str) -> str:
        """What is kept of a password."""
        with self._few:
            return self._hasher.hash(_as_one_types(password))

    def is_right(self, password: str, kept: str | None) -> bool:
        """Whether `kept` was made of this password; takes as long when nothing is kept."""
        if kept is None:
            self.hash_of(password)
            return False
        with self._few:
            try:
                return self._hasher.verify(kept, _as_one_types(password))
            except (VerificationError, InvalidHashError):
                return False

    def is_old(self, kept: str) -> bool:
        """Whether hashes are made in another way by now."""
        return self._hasher.check_needs_rehash(kept)


def fault_of(password: str, again: str, names: tuple[str, ...]) -> str | None:
    """Why this password is not taken, if it is not. `names` are words that anybody would try first.

    Length counts and kinds of letters do not (NIST SP 800-63B, section 5.1.1, from memory).
    """
    plain = _as_one_types(password)
    if len(plain) < SHORTEST:
        return LazyMessage("it must be at least {n} letters long; a few words do well", n=SHORTEST)
    if len(plain) > LONGEST:
        return LazyMessage("it must be at most {n} letters long", n=LONGEST)
    if len(set(plain)) < FEWEST_LETTERS or any(name and name.casefold() in plain.casefold() for name in names):
        return LazyMessage("it is too easy to guess; take a few words that do not belong together")
    if plain != _as_one_types(again):
        return LazyMessage("the two are not the same; type both again")
    return None


def _as_one_types(password: str) -> str:
    """The same letters from every keyboard: an accent of its own or one with its letter."""
    return unicodedata.normalize("NFKC", password)
