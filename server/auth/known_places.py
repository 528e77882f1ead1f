"""Where an account signed in before. Wrong passwords from elsewhere never make its holder wait there.

A browser is known by a signed cookie, which opens nothing and outlives its sessions; an address, by the memory of this
process.
"""

from __future__ import annotations

import threading
from datetime import timedelta
from typing import NamedTuple

#: as long as browsers keep a cookie at most
BROWSER_LIFE = timedelta(days=400)
#: a computer that a whole crew signs in on
_MAX_ACCOUNTS = 12
_MAX_ADDRESSES = 1000
_SEPARATOR = "."


class KnownBrowser(NamedTuple):
    """A browser: random text, and the ids of the accounts that signed in on it, the latest first."""

    token: str
    accounts: tuple[str, ...] = ()

    def with_account(self, account: str) -> KnownBrowser:
        """This browser after `account` signed in on it; it forgets the account that was away longest."""
        others = (other for other in self.accounts if other != account)
        return self._replace(accounts=(account, *others)[:_MAX_ACCOUNTS])

    def to_text(self) -> str:
        return _SEPARATOR.join((self.token, *self.accounts))

    @classmethod
    def from_text(cls, text: str) -> KnownBrowser:
        token, *accounts = text.split(_SEPARATOR)
        return cls(token, tuple(accounts))


class KnownAddresses:
    """The latest pairs of account and address that signed in; a restart forgets them."""

    def __init__(self, most: int = _MAX_ADDRESSES) -> None:
        self._most = most
        self._pairs: dict[tuple[str, str], None] = {}
        self._lock = threading.Lock()

    def add(self, account: str, address: str) -> None:
        with self._lock:
            self._pairs.pop((account, address), None)
            self._pairs[account, address] = None
            if len(self._pairs) > self._most:
                del self._pairs[next(iter(self._pairs))]

    def __contains__(self, pair: tuple[str, str]) -> bool:
        return pair in self._pairs
