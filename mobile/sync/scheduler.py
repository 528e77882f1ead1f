"""The courier's rounds: when to sync, in a thread of its own, so that no tap ever waits for a network. No Kivy here."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from threading import Event, Thread

from mobile.sync.client import Progress, SyncClient, pauses
from shared_models.errors import CertificateChanged, RowendError, Unreachable
from shared_models.sync.pairing_link import PairingLink


@dataclass(frozen=True, slots=True)
class SyncStatus:
    """How the last round went. `success` is when a round last came to its end; `problem` is why this one did not."""

    under_way: bool = False
    progress: Progress | None = None
    success: datetime | None = None
    problem: RowendError | None = None


@dataclass(frozen=True, slots=True)
class _Pairing:
    link: PairingLink
    name: str


class SyncScheduler:
    """Syncs when nudged, and after a failure again by itself until it comes through.

    `make_courier` is called in the thread, which is the only one that uses what it makes. `tell` is called there too,
    with the news, whenever they change.
    """

    def __init__(
        self,
        make_courier: Callable[[Callable[[Progress], None]], SyncClient],
        now: Callable[[], datetime],
        tell: Callable[[SyncStatus], None],
        draw: random.Random,
        last_success: datetime | None = None,
    ) -> None:
        self.news = SyncStatus(success=last_success)
        self._make_courier, self._now, self._tell, self._draw = make_courier, now, tell, draw
        self._pairing: _Pairing | None = None
        self._due = Event()
        self._ended = False
        self._thread = Thread(target=self._run, name="rounds", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def end(self) -> None:
        """No further round. One under way is left to its timeouts; it has nothing to lose."""
        self._ended = True
        self._due.set()
        if self._thread.is_alive():
            self._thread.join(timeout=1.0)

    def wake(self) -> None:
        """Go now, if there is anywhere to go."""
        self._due.set()

    def pair(self, link: PairingLink, name: str) -> None:
        """Join a farm's service, then go."""
        self._pairing = _Pairing(link, name)
        self._due.set()

    def _run(self) -> None:
        client = self._make_courier(lambda progress: self._hear(replace(self.news, progress=progress)))
        waits: Iterator[float] | None = None
        while True:
            self._due.wait(next(waits) if waits else None)
            self._due.clear()
            if self._ended:
                return
            tries_again = self._go(client)
            waits = (waits or pauses(self._draw)) if tries_again else None

    def _go(self, client: SyncClient) -> bool:
        """One round; whether to try again without being asked."""
        pairing, self._pairing = self._pairing, None
        if pairing is None and not client.paired:
            return False
        self._hear(replace(self.news, under_way=True, progress=None))
        try:
            if pairing is not None:
                client.pair_by(pairing.link, pairing.name)
            client.sync()
        except RowendError as problem:
            self._hear(replace(self.news, under_way=False, problem=problem))
            # the service may be near again when the phone is elsewhere, or when whoever took its address has gone
            return isinstance(problem, Unreachable | CertificateChanged) and client.paired
        self._hear(replace(self.news, under_way=False, problem=None, success=self._now()))
        return False

    def _hear(self, news: SyncStatus) -> None:
        self.news = news
        self._tell(news)
