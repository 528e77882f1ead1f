"""A screen that nobody touches costs next to nothing: the app looks for touches less often. No Kivy here.

Kivy looks for touches at every frame, sixty times a second, whether there is anything to draw or not; that empties a
battery in a pocket. After a pause the first touch is found an eighth of a second later at most, the others at once.
"""

from __future__ import annotations

from typing import Any

LOOKS_A_SECOND, LOOKS_WHEN_STILL = 60, 8
#: so long after the last touch or key; a list that was flicked has come to rest by then
STILL_AFTER_S = 3.0
SIGNS_OF_LIFE = ("on_touch_down", "on_touch_move", "on_touch_up", "on_key_down", "on_key_up")


class IdleThrottle:
    """Slows Kivy's `clock` when its `window` was not touched for a while, and hurries it at the first touch."""

    def __init__(self, clock: Any, window: Any) -> None:
        self._clock = clock
        self._soon = clock.create_trigger(self._rest, STILL_AFTER_S)
        for sign in SIGNS_OF_LIFE:
            window.fbind(sign, self._stir)
        self._stir()

    def _stir(self, *_: object) -> None:
        self._set(LOOKS_A_SECOND)
        self._soon.cancel()
        self._soon()

    def _rest(self, _: float) -> None:
        self._set(LOOKS_WHEN_STILL)

    def _set(self, looks_a_second: int) -> None:
        self._clock._max_fps = looks_a_second  # noqa: SLF001 - Kivy 2.3.1 reads it at each frame and has no setter
