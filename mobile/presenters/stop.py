"""Why the row stands still: one tap, and back to the row."""

from __future__ import annotations

from dataclasses import dataclass

from mobile.handset import Pulse
from mobile.presenters.kit import Kit, Presenter
from mobile.presenters.options import Option
from mobile.presenters.words import STOP_REASONS
from shared_models.words import StopReason

NOT_STOPPED = "not stopped"


@dataclass(frozen=True, slots=True)
class StopView:
    """The question and its answers; the last of them goes back without a stop."""

    title: str
    options: tuple[Option, ...]


class StopPresenter(Presenter):
    """Asks for the reason of a stop."""

    def __init__(self, kit: Kit, planting: str) -> None:
        super().__init__(kit)
        self._planting = planting

    def pick(self, key: str) -> None:
        """The row stands still for this reason."""
        if key != NOT_STOPPED:
            self.kit.notebook.stop(self._planting, StopReason(key))
            self.kit.parts.buzzer.feel(Pulse.STOP)
        self.kit.ways.back()

    @property
    def view(self) -> StopView:
        """The seven reasons."""
        say = self.kit.speech.say
        reasons = [Option(reason.value, say(text), sign="") for reason, text in STOP_REASONS.items()]
        return StopView(say("Why stopped?"), (*reasons, Option(NOT_STOPPED, say("back, no stop"), sign="‹")))
