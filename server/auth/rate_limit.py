"""Rate limit for wrong codes and passwords, by client address and by sign-in name."""

import threading
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from ipaddress import IPv6Address, IPv6Network, ip_address
from math import ceil

from shared_models.errors import TooManyTries

MAX_FAILURES = 10
WINDOW = timedelta(minutes=1)
#: keys held at once; past it, those with failures to spare go first
_MAX_KEYS = 20_000
#: bits of an IPv6 address that name a network; whoever has one machine in it has all of its addresses
_NETWORK_BITS = 64


class RateLimiter:
    """At most `max_failures` failed attempts within `window` for each key, counted in the memory of this process."""

    def __init__(self, max_failures: int = MAX_FAILURES, window: timedelta = WINDOW, max_keys: int = _MAX_KEYS) -> None:
        self._max_failures, self._window, self._max_keys = max_failures, window, max_keys
        self._failures: dict[str, list[datetime]] = defaultdict(list)
        self._lock = threading.Lock()

    @contextmanager
    def attempt(self, keys: tuple[str, ...], now: datetime, wrong: type[Exception]) -> Iterator[None]:
        """Counted as failed up front; refunded unless the block raises `wrong`.

        So many at once do not all pass before the first of them has failed.

        Raises:
            TooManyTries: when one of the keys has too many failures; the block is not entered.
        """
        self._count(keys, now)
        failed = False
        try:
            yield
        except wrong:
            failed = True
            raise
        finally:
            if not failed:
                self._refund(keys, now)

    def _count(self, keys: tuple[str, ...], now: datetime) -> None:
        with self._lock:
            self._prune(now)
            for key in keys:
                failures = self._failures.get(key, [])
                if len(failures) >= self._max_failures:
                    wait = failures[-self._max_failures] + self._window - now
                    raise TooManyTries(ceil(wait.total_seconds()))
            for key in keys:
                self._failures[key].append(now)
            while len(self._failures) > self._max_keys:
                del self._failures[min(self._failures.keys() - keys, key=self._weight)]

    def _weight(self, key: str) -> tuple[bool, datetime]:
        """The keys that must wait weigh most, then those that failed last."""
        failures = self._failures[key]
        return len(failures) >= self._max_failures, failures[-1]

    def _refund(self, keys: tuple[str, ...], now: datetime) -> None:
        with self._lock:
            for key in keys:
                failures = self._failures.get(key, [])
                if now in failures:
                    failures.remove(now)

    def _prune(self, now: datetime) -> None:
        """Drop failures outside the window, also those in the future: the clock was set back since."""
        for key, failures in list(self._failures.items()):
            recent = [when for when in failures if abs(now - when) < self._window]
            if recent:
                self._failures[key] = recent
            else:
                del self._failures[key]


def client_key(host: str) -> str:
    """The key for a client's address: an IPv6 network counts as one client."""
    try:
        address = ip_address(host)
    except ValueError:
        return host
    if not isinstance(address, IPv6Address):
        return host
    if address.ipv4_mapped:
        return str(address.ipv4_mapped)
    return str(IPv6Network((int(address), _NETWORK_BITS), strict=False))
