"""A worker thread for what a tap must not wait for."""

import logging
from collections.abc import Callable
from queue import SimpleQueue
from threading import Thread

log = logging.getLogger(__name__)


class BackgroundWorker:
    """Runs one job after another in its own thread. A job that fails is logged, and the next one runs."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._jobs: SimpleQueue[Callable[[], object]] = SimpleQueue()
        self._thread: Thread | None = None

    def do(self, job: Callable[[], object]) -> None:
        if self._thread is None:
            self._thread = Thread(target=self._run, name=self._name, daemon=True)
            self._thread.start()
        self._jobs.put(job)

    def _run(self) -> None:
        while True:
            job = self._jobs.get()
            try:
                job()
            except Exception:
                log.exception("%s: the job failed", self._name)
