"""Lets many do their work at once, and now and then one alone."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from threading import Condition


class ReadWriteLock:
    """Threads that are inside do not wait for each other. Whoever wants to be alone may not be inside already."""

    def __init__(self) -> None:
        self._change = Condition()
        self._inside = 0

    @contextmanager
    def inside(self) -> Iterator[None]:
        """Work among others; again inside of it, if need be."""
        with self._change:
            self._inside += 1
        try:
            yield
        finally:
            with self._change:
                self._inside -= 1
                self._change.notify_all()

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Work once nobody is inside; whoever comes meanwhile waits."""
        with self._change:
            self._change.wait_for(lambda: not self._inside)
            yield
