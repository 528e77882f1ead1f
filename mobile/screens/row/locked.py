"""The locked row: to be read at a glance, and to be unlocked by nobody's pocket."""
# mypy: disallow-subclassing-any=False

from __future__ import annotations

from typing import Any, ClassVar

from kivy.clock import Clock

from mobile.screens.base import theme
from mobile.screens.base.screen import Screen


class LockedRoom(Screen):
    """How the row stands, between the two places to hold."""


class HoldPad(theme.BigButton):
    """Acts once a finger has rested on it for a while; one that slides off has not."""

    hold_s: ClassVar[float] = 1.0
    __events__ = ("on_held",)
    _wait: Any = None

    def on_held(self) -> None:
        """Nothing, until a screen listens."""

    def on_state(self, _pad: object, state: str) -> None:
        """A finger came, or went."""
        self._give_up()
        if state == "down":
            self._wait = Clock.schedule_once(lambda _: self.dispatch("on_held"), self.hold_s)

    def on_touch_move(self, touch: Any) -> bool:
        """A finger that slides off begins anew."""
        if touch.grab_current is self and not self.collide_point(*touch.pos):
            self._give_up()
        return bool(super().on_touch_move(touch))

    def _give_up(self) -> None:
        if self._wait is not None:
            self._wait.cancel()
