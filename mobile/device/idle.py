"""Fewer frames while nobody touches the screen. No Kivy here.

Kivy polls for touches at every frame, sixty times a second, whether there is anything to draw or not; that empties a
battery in a pocket. After a pause the first touch is found an eighth of a second later at most, the others at once.
"""

from typing import Any

ACTIVE_FPS, IDLE_FPS = 60, 8
#: so long after the last touch or key; a list that was flicked has come to rest by then
IDLE_AFTER_S = 3.0
INPUT_EVENTS = ("on_touch_down", "on_touch_move", "on_touch_up", "on_key_down", "on_key_up")


class IdleThrottle:
    """Slows Kivy's `clock` when its `window` had no input for a while, and hurries it at the first touch."""

    def __init__(self, clock: Any, window: Any) -> None:
        self._clock = clock
        self._idle_timer = clock.create_trigger(lambda _: self._set_fps(IDLE_FPS), IDLE_AFTER_S)
        for event in INPUT_EVENTS:
            window.fbind(event, self._on_input)
        self._on_input()

    def _on_input(self, *_: object) -> None:
        self._set_fps(ACTIVE_FPS)
        self._idle_timer.cancel()
        self._idle_timer()

    def _set_fps(self, fps: int) -> None:
        self._clock._max_fps = fps  # noqa: SLF001 - Kivy 2.3.1 reads it at each frame and has no setter
