"""Spare plants set into one row's misses."""

from collections.abc import Sequence

from mobile.presenters.base.form import Form, Number, Question
from mobile.presenters.base.presenter import AppContext


class FillForm(Form):
    """How many misses of a row are filled now."""

    title = "Fill"
    reviewed = False

    def __init__(self, context: AppContext, planting: str, row_pass: str) -> None:
        self._row = next(row for row in context.notebook.row_state(planting).passes if row.id == row_pass)
        super().__init__(context)
        self._answers["filled"] = self._row.filled or self._row.misses

    def questions(self) -> Sequence[Question]:
        localizer, row = self.localizer, self._row
        misses = localizer.tn("{n} miss", "{n} misses", row.misses)
        ask = localizer.t("Row {row}: {misses}. How many are filled?", row=row.row, misses=misses)
        return [Question("filled", localizer.t("Filled"), ask, number=Number(start=row.misses, highest=row.misses))]

    def save(self) -> None:
        self.context.notebook.fill(self._row.id, int(self._answers["filled"]))
        self.context.navigator.back()
