"""The locked row: read at a glance, and not unlocked in a pocket."""
# mypy: disallow-subclassing-any=False

from typing import Any, ClassVar

from kivy.clock import Clock
from typing_extensions import override

from mobile.screens.base import theme
from mobile.screens.base.screen import Screen


class LockedScreen(Screen):
    """The row's state, between the two pads to hold."""

    layout = "row/locked"


class HoldPad(theme.BigButton):
    """A button that fires after a finger has rested on it for a while; sliding off cancels it."""

    hold_s: ClassVar[float] = 1.0
    __events__ = ("on_held",)
    _timer: Any = None

    def on_held(self) -> None:
        """Kivy's default handler: nothing."""

    def on_state(self, _pad: object, state: str) -> None:
        """Start waiting when a finger comes, stop when it goes."""
        self._stop_waiting()
        if state == "down":
            self._timer = Clock.schedule_once(lambda _: self.dispatch("on_held"), self.hold_s)

    @override
    def on_touch_move(self, touch: Any) -> bool:
        if touch.grab_current is self and not self.collide_point(*touch.pos):
            self._stop_waiting()
        return bool(super().on_touch_move(touch))

    def _stop_waiting(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
