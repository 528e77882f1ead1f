"""Wrong codes and passwords are counted by where they come from and whose they are, so that nobody can try them all."""

from __future__ import annotations

import threading
from collections import defaultdict
from datetime import datetime, timedelta
from math import ceil

from shared_models.errors import TooManyTries

MOST = 10
WITHIN = timedelta(minutes=1)


class Tries:
    """The failures of the last while, in the memory of this process: at most `most` within `within` for each place."""

    def __init__(self, most: int = MOST, within: timedelta = WITHIN) -> None:
        self._most, self._within = most, within
        self._failed: dict[str, list[datetime]] = defaultdict(list)
        self._lock = threading.Lock()

    def check(self, place: str, now: datetime) -> None:
        """Let the next try from `place` pass.

        Raises:
            TooManyTries: when too many have failed lately.
        """
        with self._lock:
            self._forget_before(now - self._within)
            failed = self._failed.get(place, [])
            if len(failed) >= self._most:
                raise TooManyTries(ceil((failed[-self._most] + self._within - now).total_seconds()))

    def note_failure(self, place: str, now: datetime) -> None:
        """A try from `place` has failed."""
        with self._lock:
            self._failed[place].append(now)

    def take_back(self, place: str, now: datetime) -> None:
        """The try that was noted as a failure at `now`, before anybody knew, was none."""
        with self._lock:
            noted = self._failed.get(place, [])
            if now in noted:
                noted.remove(now)

    def _forget_before(self, limit: datetime) -> None:
        for place, failed in list(self._failed.items()):
            recent = [when for when in failed if when > limit]
            if recent:
                self._failed[place] = recent
            else:
                del self._failed[place]
