"""Password rules and hashes."""

import threading
import unicodedata

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from zxcvbn import zxcvbn

from shared_models.lazy_message import LazyMessage

MIN_LENGTH, MAX_LENGTH = 10, 200
#: fewer are within reach of a guesser who copied the hashes, and knows lists of leaked passwords, words, names, dates
#: and rows of keys
MIN_GUESSES = 10**9
#: characters from the start that guesses are counted for; 32 odd ones take half a second, each further one more
_JUDGED = 32
#: A hash takes 64 MiB (the library's choice, RFC 9106, second recommended option); a small computer in a barn has few.
_AT_ONCE = 2


class Passwords:
    """Hash and verify passwords, at most two at once."""

    def __init__(self, hasher: PasswordHasher | None = None) -> None:
        self._hasher = hasher or PasswordHasher()
        self._slots = threading.BoundedSemaphore(_AT_ONCE)

    def hash(self, password: str) -> str:
        with self._slots:
            return self._hasher.hash(_normalized(password))

    def verify(self, password: str, password_hash: str | None) -> bool:
        """Whether the hash is that of this password; takes as long without a hash."""
        if password_hash is None:
            self.hash(password)
            return False
        with self._slots:
            try:
                return self._hasher.verify(password_hash, _normalized(password))
            except (VerificationError, InvalidHashError):
                return False

    def needs_rehash(self, password_hash: str) -> bool:
        return self._hasher.check_needs_rehash(password_hash)


def password_problem(password: str, again: str, names: tuple[str, ...]) -> str | None:
    """Why this password is not accepted, if it is not. `names` are words that anybody would try first.

    Length and guesses count, kinds of characters do not (NIST SP 800-63B, section 5.1.1, from memory).
    """
    plain = _normalized(password)
    if len(plain) < MIN_LENGTH:
        return LazyMessage("use at least {n} characters; a few words work well", n=MIN_LENGTH)
    if len(plain) > MAX_LENGTH:
        return LazyMessage("use at most {n} characters", n=MAX_LENGTH)
    judged = zxcvbn(_without_accents(plain)[:_JUDGED])
    if [part.get("dictionary_name") for part in judged["sequence"]] == ["passwords"]:
        return LazyMessage(
            "this password is on lists of leaked passwords; choose another: three words of your own, for example"
        )
    if judged["guesses"] < MIN_GUESSES or any(name and name.casefold() in plain.casefold() for name in names):
        return LazyMessage("too easy to guess; use a few unrelated words")
    if plain != _normalized(again):
        return LazyMessage("the two passwords are not the same; type both again")
    return None


def _normalized(password: str) -> str:
    """The same characters from every keyboard: an accent of its own or one with its letter."""
    return unicodedata.normalize("NFKC", password)


def _without_accents(password: str) -> str:
    """As the lists have it: contraseña is contrasena."""
    parts = unicodedata.normalize("NFKD", password)
    return "".join(part for part in parts if not unicodedata.combining(part))
