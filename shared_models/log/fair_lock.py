"""A lock that goes to whoever has waited longest."""

from collections import deque
from threading import Event, Lock


class FairLock:
    """Threads get it in the order in which they asked."""

    def __init__(self) -> None:
        self._guard = Lock()
        self._held = False
        self._waiting: deque[Event] = deque()

    @property
    def waiting(self) -> int:
        """How many threads wait for it."""
        return len(self._waiting)

    def acquire(self, timeout_s: float) -> bool:
        """Wait for the lock; return whether it came in time."""
        with self._guard:
            if not self._held:
                self._held = True
                return True
            mine = Event()
            self._waiting.append(mine)
        if mine.wait(timeout_s):
            return True
        with self._guard:
            if mine.is_set():
                return True  # it came just now
            self._waiting.remove(mine)
            return False

    def release(self) -> None:
        """Give it to the next in line."""
        with self._guard:
            if self._waiting:
                self._waiting.popleft().set()
            else:
                self._held = False
