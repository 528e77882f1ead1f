"""Wrong codes and passwords are counted by where they come from and whose they are, so that nobody can try them all."""

from __future__ import annotations

import threading
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from ipaddress import IPv6Address, IPv6Network, ip_address
from math import ceil

from shared_models.errors import TooManyTries

MOST = 10
WITHIN = timedelta(minutes=1)
#: bits of an IPv6 address that name a network; whoever has one machine in it has all of its addresses
_NETWORK_BITS = 64


class RateLimiter:
    """The failures of the last while, in the memory of this process: at most `most` within `within` for each place."""

    def __init__(self, most: int = MOST, within: timedelta = WITHIN) -> None:
        self._most, self._within = most, within
        self._failed: dict[str, list[datetime]] = defaultdict(list)
        self._lock = threading.Lock()

    @contextmanager
    def counted(self, places: tuple[str, ...], now: datetime, wrong: type[Exception]) -> Iterator[None]:
        """A try from these places. Until the block ends in anything but `wrong`, it counts as one that has failed.

        So many at once do not all pass before the first of them has failed.

        Raises:
            TooManyTries: when too many have failed lately in one of them; the block is not entered.
        """
        self._let_in(places, now)
        failed = False
        try:
            yield
        except wrong:
            failed = True
            raise
        finally:
            if not failed:
                self._take_back(places, now)

    def _let_in(self, places: tuple[str, ...], now: datetime) -> None:
        with self._lock:
            self._forget_all_but_lately(now)
            for place in places:
                failed = self._failed.get(place, [])
                if len(failed) >= self._most:
                    raise TooManyTries(ceil((failed[-self._most] + self._within - now).total_seconds()))
            for place in places:
                self._failed[place].append(now)

    def _take_back(self, places: tuple[str, ...], now: datetime) -> None:
        with self._lock:
            for place in places:
                noted = self._failed.get(place, [])
                if now in noted:
                    noted.remove(now)

    def _forget_all_but_lately(self, now: datetime) -> None:
        """What lies far ahead was noted by a clock that has been set back since: nobody waits until then."""
        for place, failed in list(self._failed.items()):
            recent = [when for when in failed if abs(now - when) < self._within]
            if recent:
                self._failed[place] = recent
            else:
                del self._failed[place]


def place_of(host: str) -> str:
    """The place that a request from this host comes from, as tries are counted."""
    try:
        address = ip_address(host)
    except ValueError:
        return host
    if not isinstance(address, IPv6Address):
        return host
    if address.ipv4_mapped:
        return str(address.ipv4_mapped)
    return str(IPv6Network((int(address), _NETWORK_BITS), strict=False))
