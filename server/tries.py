"""Wrong pairing codes are counted by where they come from, so that nobody can try them all."""

from __future__ import annotations

import threading
from collections import defaultdict
from datetime import datetime, timedelta
from math import ceil

from shared_models.errors import TooManyTries

MOST = 10
WITHIN = timedelta(minutes=1)


class Tries:
    """The wrong codes of the last minute, in the memory of this process."""

    def __init__(self) -> None:
        self._failed: dict[str, list[datetime]] = defaultdict(list)
        self._lock = threading.Lock()

    def check(self, place: str, now: datetime) -> None:
        """Let the next try from `place` pass.

        Raises:
            TooManyTries: when too many have failed lately.
        """
        with self._lock:
            self._forget_before(now - WITHIN)
            failed = self._failed.get(place, [])
            if len(failed) >= MOST:
                raise TooManyTries(ceil((failed[-MOST] + WITHIN - now).total_seconds()))

    def note_failure(self, place: str, now: datetime) -> None:
        """A try from `place` has failed."""
        with self._lock:
            self._failed[place].append(now)

    def _forget_before(self, limit: datetime) -> None:
        for place, failed in list(self._failed.items()):
            recent = [when for when in failed if when > limit]
            if recent:
                self._failed[place] = recent
            else:
                del self._failed[place]
