"""Why the row stands still: one tap, and back to the row."""

from __future__ import annotations

from dataclasses import dataclass

from mobile.device.haptics import Pulse
from mobile.presenters.base.labels import STOP_REASONS
from mobile.presenters.base.options import Option
from mobile.presenters.base.presenter import Kit, Presenter
from shared_models.core.vocabulary import StopReason

NOT_STOPPED = "not stopped"


@dataclass(frozen=True, slots=True)
class StopView:
    """The question and its answers; `rest` are any other reason, and back without a stop."""

    title: str
    options: tuple[Option, ...]
    rest: tuple[Option, ...]


class StopPresenter(Presenter):
    """Asks for the reason of a stop."""

    def __init__(self, kit: Kit, planting: str) -> None:
        super().__init__(kit)
        self._planting = planting

    def pick(self, key: str) -> None:
        """The row stands still for this reason."""
        if key != NOT_STOPPED:
            say, reason = self.kit.speech.say, StopReason(key)
            self.kit.notebook.stop(self._planting, reason)
            self.kit.feel(Pulse.STOP, say("stopped: {reason}", reason=say(STOP_REASONS[reason])))
        self.kit.ways.back()

    @property
    def view(self) -> StopView:
        """The seven reasons, and that there was none."""
        say = self.kit.speech.say
        reasons = [Option(reason.value, say(text), sign="") for reason, text in STOP_REASONS.items()]
        *options, other = reasons
        return StopView(say("Why stopped?"), tuple(options), (other, Option(NOT_STOPPED, say("no stop"), sign="‹")))
