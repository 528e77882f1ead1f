"""Short and long presses of hardware keys. No Kivy here.

A short press counts when the key comes up, since until then it may become a long one; a long one counts as soon as it
is long enough, so that the hand feels it and lets go.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol

LONG_PRESS_S = 0.6


class Timer(Protocol):
    """A scheduled step."""

    def cancel(self) -> None:
        """Do not run it."""


@dataclass(slots=True)
class _Press:
    short: Callable[[], None]
    timer: Timer | None = None


class KeyPresses:
    """Tells short presses from long ones. `after(step, seconds)` schedules a step, as Kivy's clock does."""

    def __init__(self, after: Callable[[Callable[..., None], float], Any]) -> None:
        self._after = after
        self._down: dict[int, _Press] = {}

    def down(self, key: int, short: Callable[[], None], long: Callable[[], None] | None) -> None:
        """Take a key-down event; a held key repeats it, and only the first counts."""
        if key in self._down:
            return
        press = self._down[key] = _Press(short)
        if long is not None:
            press.timer = self._after(lambda *_: self._run_long(press, long), LONG_PRESS_S)

    def up(self, key: int) -> None:
        press = self._down.pop(key, None)
        if press is None:
            return
        if press.timer is not None:
            press.timer.cancel()
        press.short()

    def disarm(self) -> None:
        """Let the keys that are down do nothing, however long they are held: their screen is gone."""
        for press in self._down.values():
            press.short = _do_nothing
            if press.timer is not None:
                press.timer.cancel()

    def reset(self) -> None:
        """Forget the keys that are down: a paused app may never hear of them again."""
        self.disarm()
        self._down.clear()

    def _run_long(self, press: _Press, long: Callable[[], None]) -> None:
        press.short = _do_nothing
        long()


def _do_nothing() -> None:
    pass
