"""Why the row stands still: one tap, and back to the row."""

from dataclasses import dataclass

from mobile.device.haptics.protocol import Haptic
from mobile.presenters.base.options import Option
from mobile.presenters.base.presenter import AppContext, Presenter
from shared_models.core.vocabulary import StopReason
from shared_models.i18n.labels import STOPS, inline

NOT_STOPPED = "not stopped"


@dataclass(frozen=True, slots=True)
class StopView:
    """The question and its answers; `rest` are any other reason, and back without a stop."""

    title: str
    options: tuple[Option, ...]
    rest: tuple[Option, ...]


class StopPresenter(Presenter):
    """Asks for the reason of a stop."""

    def __init__(self, context: AppContext, planting: str) -> None:
        super().__init__(context)
        self._planting = planting

    def pick(self, key: str) -> None:
        if key != NOT_STOPPED:
            t, reason = self.t, StopReason(key)
            self.context.notebook.stop(self._planting, reason)
            self.context.feedback(Haptic.STOP, t("stopped: {reason}", reason=inline(t(STOPS[reason]))))
        self.context.navigator.back()

    @property
    def view(self) -> StopView:
        reasons = [Option(reason.value, self.t(text), sign="") for reason, text in STOPS.items()]
        *options, other = reasons
        return StopView(
            self.t("Why stopped?"), tuple(options), (other, Option(NOT_STOPPED, self.t("no stop"), sign="‹"))
        )
