"""A read-write lock."""

from collections.abc import Iterator
from contextlib import contextmanager
from threading import Condition


class ReadWriteLock:
    """Shared holders do not wait for each other. A thread that holds it shared must not ask for it exclusively."""

    def __init__(self) -> None:
        self._change = Condition()
        self._holders = 0

    @contextmanager
    def shared(self) -> Iterator[None]:
        """Hold the lock together with others; may be nested."""
        with self._change:
            self._holders += 1
        try:
            yield
        finally:
            with self._change:
                self._holders -= 1
                self._change.notify_all()

    @contextmanager
    def exclusive(self) -> Iterator[None]:
        """Wait until nobody holds the lock, then keep everybody else out."""
        with self._change:
            self._change.wait_for(lambda: not self._holders)
            yield
