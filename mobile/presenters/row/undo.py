"""Undo of the last action, and its label."""

from mobile.device.haptics.protocol import Haptic
from mobile.log.rows import RowState, open_stop
from mobile.presenters.base.presenter import AppContext
from shared_models.core.revision import Revision


class Undo:
    """The last action in one planting's rows. Undone, it can be put back."""

    def __init__(self, context: AppContext) -> None:
        self._context = context
        self._what = ""
        self._undone: Revision | None = None

    def show(self, state: RowState) -> None:
        """Name the last line of this phone, where it is an action in these rows."""
        last = state.last_line
        if last is None or last != self._undone:
            self._undone = None
            self._what = "" if last is None else _what(self._context, state, last)

    def undo(self, planting: str) -> RowState:
        state = self._context.notebook.undo_in(planting)
        self._undone = state.last_line if self._undone is None else None
        t = self._context.localizer.t
        self._context.feedback(Haptic.UNDO, t("undone") if self._undone else t("put back"))
        return state

    @property
    def text(self) -> str:
        if not self._what:
            return ""
        undone = self._undone is not None
        return self._context.localizer.t("Put back: {what}" if undone else "Undo: {what}", what=self._what)


def _what(context: AppContext, state: RowState, last: Revision) -> str:
    t = context.localizer.t
    row = next((row for row in state.passes if row.id == last.record), None)
    if row is None:
        return ""
    if context.notebook.action_name(last):
        return t(context.notebook.action_name(last))
    if "stops" in last.set and "ended_at" not in last.set:
        return t("stop") if open_stop(row) else t("go on")
    found = (t(what, row=row.row) for names, what in FIELDS.items() if any(name in last.set for name in names))
    return next(found, t("last entry"))


FIELDS = {
    ("started_at",): "start of row {row}",
    ("ended_at",): "end of row {row}",
    ("misses",): "miss",
    ("doubles",): "double",
    ("filled",): "fill",
    ("depth_notch", "depth_mm"): "depth",
    ("length_mm",): "row length",
    ("crew",): "crew",
    ("note",): "note",
}
