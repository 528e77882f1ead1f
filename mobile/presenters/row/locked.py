"""The row with its touches locked: the phone is in a pocket, and its keys go on working."""

from dataclasses import dataclass, fields

from typing_extensions import override

from mobile.device.haptics.protocol import Haptic
from mobile.log.rows import RowState
from mobile.presenters.base.presenter import AppContext
from mobile.presenters.base.routes import Route
from mobile.presenters.row.row import RowPresenter, RowView
from shared_models.core.moments import Moment, elapsed_s

#: how long after the lower place the upper one opens
UPPER_WITHIN_S = 8.0


@dataclass(frozen=True, slots=True)
class LockedView(RowView):
    """The row as it stands, and the two places that unlock it one after the other."""

    locked: str
    keys: str
    counts: str
    lower: str
    upper: str
    first_held: bool


class LockedPresenter(RowPresenter):
    """Nothing here but the row's keys does anything, until two places far apart have been held one after the other.

    The end of the bed does not unlock it, since the phone is in the pocket still.
    """

    def __init__(self, context: AppContext, planting: str) -> None:
        self._lower_held: Moment | None = None
        super().__init__(context, planting)

    @override
    def _show(self, state: RowState) -> None:
        super()._show(state)
        self.context.hardware.awake.keep(on=True)  # the keys of a dark phone are the system's
        self.ticks = self.ticks or self._first_pad_held

    # what a tap means

    def step_back(self) -> bool:
        """The back key leads nowhere."""
        return True

    def bed_done(self) -> None:
        """The last row is planted; the summary comes when the phone is taken out."""

    def to_summary(self) -> None:
        """Refuse: the phone is in a pocket."""
        self.context.feedback(Haptic.REFUSAL)

    def hold_lower(self) -> None:
        self._lower_held = self.context.notebook.now()

    def hold_upper(self) -> None:
        """Unlock, if the lower place was held just before."""
        if not self._first_pad_held:
            self.context.feedback(Haptic.REFUSAL)
            return
        self.context.navigator.back()
        if self._state.finished:
            self.context.navigator.go(Route.SUMMARY, planting=self._planting, instead=True)

    @property
    def _first_pad_held(self) -> bool:
        held = self._lower_held
        return held is not None and 0 <= elapsed_s(held, self.context.notebook.now()) < UPPER_WITHIN_S

    # what is shown

    @property
    def view(self) -> LockedView:
        t, first_held, row = self.t, self._first_pad_held, super().view
        return LockedView(
            **{each.name: getattr(row, each.name) for each in fields(row)},
            locked=t("Screen locked"),
            keys=t("The keys still work: press for the row, hold for a miss."),
            counts=f"{row.miss}: {row.misses}",
            lower=t("1. Held") if first_held else t("1. To unlock, hold here"),
            upper=t("2. Now hold here") if first_held else t("2. Then hold here"),
            first_held=first_held,
        )
