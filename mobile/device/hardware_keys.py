"""The keys beside the glass, and a remote's: a short press is one thing, a long one another. No Kivy here.

A short press counts when the key comes up, since until then it may become a long one; a long one counts as soon as it
is long enough, so that the hand feels it and lets go.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

LONG_PRESS_S = 0.6


class Wait(Protocol):
    """Something that will happen, unless it is cancelled."""

    def cancel(self) -> None:
        """Let it not happen."""


@dataclass(slots=True)
class _Press:
    short: Callable[[], None]
    wait: Wait | None = None


class KeyPresses:
    """Tells short presses from long ones. `after(step, seconds)` has a step done later, as Kivy's clock does."""

    def __init__(self, after: Callable[[Callable[..., None], float], Any]) -> None:
        self._after = after
        self._down: dict[int, _Press] = {}

    def down(self, key: int, short: Callable[[], None], long: Callable[[], None] | None) -> None:
        """A key went down; one that is held says so again and again, and only the first counts."""
        if key in self._down:
            return
        press = self._down[key] = _Press(short)
        if long is not None:
            press.wait = self._after(lambda *_: self._held(press, long), LONG_PRESS_S)

    def up(self, key: int) -> None:
        """A key came up."""
        press = self._down.pop(key, None)
        if press is None:
            return
        if press.wait is not None:
            press.wait.cancel()
        press.short()

    def spoil(self) -> None:
        """What is down was meant for something that is gone: it does nothing more, however long it is held."""
        for press in self._down.values():
            press.short = _nothing
            if press.wait is not None:
                press.wait.cancel()

    def forget(self) -> None:
        """What is down may never be heard of again: the app is laid aside."""
        self.spoil()
        self._down.clear()

    def _held(self, press: _Press, long: Callable[[], None]) -> None:
        press.short = _nothing
        long()


def _nothing() -> None:
    """What a key does that has done its work, or has none left."""
