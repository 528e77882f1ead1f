"""When to sync: in a thread of its own, so that no tap ever waits for a network. No Kivy here."""

import logging
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from threading import Event, Thread

from mobile.sync.client import Progress, SyncClient, pauses
from shared_models.errors import CertificateChanged, OverLimit, RowendError, Unreachable
from shared_models.sync.pairing_link import PairingLink

logger = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class SyncStatus:
    """State of sync: `success` is when one last finished; `problem` is why the latest did not."""

    under_way: bool = False
    progress: Progress | None = None
    success: datetime | None = None
    problem: RowendError | None = None


@dataclass(frozen=True, slots=True)
class _Pairing:
    link: PairingLink
    name: str


class SyncScheduler:
    """Syncs when woken, and after a failure retries until it succeeds.

    `make_client` is called in the thread, which alone uses the client. `on_status` is called there at every change.
    """

    def __init__(
        self,
        make_client: Callable[[Callable[[Progress], None]], SyncClient],
        now: Callable[[], datetime],
        on_status: Callable[[SyncStatus], None],
        draw: random.Random,
        last_success: datetime | None = None,
    ) -> None:
        self.status = SyncStatus(success=last_success)
        self._make_client, self._now, self._on_status, self._draw = make_client, now, on_status, draw
        self._pairing: _Pairing | None = None
        self._due = Event()
        self._ended = False
        self._thread = Thread(target=self._run, name="sync", daemon=True)

    def start(self) -> None:
        self._thread.start()

    def end(self) -> None:
        """End the thread. A sync under way is left to its timeouts; it has nothing to lose."""
        self._ended = True
        self._due.set()
        if self._thread.is_alive():
            self._thread.join(timeout=1.0)

    def wake(self) -> None:
        """Sync now, if this phone is paired."""
        self._due.set()

    def pair(self, link: PairingLink, name: str) -> None:
        self._pairing = _Pairing(link, name)
        self._due.set()

    def _run(self) -> None:
        client = self._make_client(lambda progress: self._report(replace(self.status, progress=progress)))
        retries: Iterator[float] | None = None
        while True:
            self._due.wait(max(next(retries), self._wait_s()) if retries else None)
            self._due.clear()
            if self._ended:
                return
            retry = self._sync(client)
            retries = (retries or pauses(self._draw)) if retry else None

    def _sync(self, client: SyncClient) -> bool:
        """Pair if asked to, and sync; return whether to retry by itself."""
        pairing, self._pairing = self._pairing, None
        if pairing is None and not client.paired:
            return False
        self._report(replace(self.status, under_way=True, progress=None))
        try:
            if pairing is not None:
                client.pair_by(pairing.link, pairing.name)
            client.sync()
        except RowendError as problem:
            self._report(replace(self.status, under_way=False, problem=problem))
            # the service may be in reach again elsewhere, or when whoever took its address has gone
            return isinstance(problem, Unreachable | CertificateChanged | OverLimit) and client.paired
        except Exception:  # this thread must not end: nobody would sync any more, and nobody would notice
            logger.exception("the sync ended in a mistake")
            self._report(
                replace(self.status, under_way=False, problem=Unreachable("The app made a mistake in syncing."))
            )
            return client.paired
        self._report(replace(self.status, under_way=False, problem=None, success=self._now()))
        return False

    def _wait_s(self) -> float:
        problem = self.status.problem
        return problem.wait_s if isinstance(problem, OverLimit) else 0.0

    def _report(self, status: SyncStatus) -> None:
        self.status = status
        self._on_status(status)
