"""Undo stays for the last action: what it would take back, in words."""

from __future__ import annotations

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
        self._can = False

    def read(self, state: RowState) -> None:
        """Look whether the last line of this phone is an action in these rows."""
        last = self._context.notebook.last_line()
        if last is not None and last == self._undone:
            self._can = True
            return
        self._undone = None
        self._can = last is not None and any(row.id == last.record for row in state.passes)
        self._what = _what(self._context, state, last) if last is not None and self._can else ""

    def undo(self) -> None:
        """Take the last action back, or put it back."""
        undone = self._context.notebook.undo()
        self._undone = undone if self._undone is None else None
        t = self._context.localizer.t
        self._context.feel(Haptic.UNDO, t("undone") if self._undone else t("put back"))

    @property
    def text(self) -> str:
        """What the button says; empty when there is nothing to take back."""
        if not self._can:
            return ""
        if self._undone is not None:
            return self._context.localizer.t("Put back: {what}", what=self._what)
        return self._context.localizer.t("Undo: {what}", what=self._what)


def _what(context: AppContext, state: RowState, last: Revision) -> str:
    t = context.localizer.t
    row = next(row for row in state.passes if row.id == last.record)
    if context.notebook.last_together:
        return t(context.notebook.last_together)
    if "started_at" in last.set:
        return t("start of row {row}", row=row.row)
    if "ended_at" in last.set:
        return t("end of row {row}", row=row.row)
    if "stops" in last.set:
        return t("stop") if open_stop(row) else t("go on")
    for names, what in FIELDS.items():
        if any(name in last.set for name in names):
            return t(what)
    return t("last entry")


FIELDS = {
    ("misses",): "miss",
    ("doubles",): "double",
    ("filled",): "fill",
    ("depth_notch", "depth_mm"): "depth",
    ("length_mm",): "row length",
    ("crew",): "crew",
    ("note",): "note",
}
