"""A new bed: as much as rows and rates have to know."""

from __future__ import annotations

from collections.abc import Sequence

from mobile.presenters.base.form import Form, Number, Question
from shared_models.core.units import MM_PER_FOOT, MM_PER_METRE


class BedForm(Form):
    """A new bed."""

    title = "New bed"

    def questions(self) -> Sequence[Question]:
        """What rates and rows need."""
        t, feet = self.context.localizer.t, self.context.localizer.feet
        length = Number(start=100, lowest=1, unit=t("ft")) if feet else Number(start=30, lowest=1, unit=t("m"))
        return [
            Question("name", t("Name"), t("What is the bed called?"), writes=True),
            Question("length", t("Length"), t("How long is it?"), number=length),
            Question("rows", t("Rows"), t("How many rows?"), number=Number(start=4, lowest=1, highest=99)),
        ]

    def save(self) -> None:
        """Write the bed."""
        told, unit_mm = self._answers, MM_PER_FOOT if self.context.localizer.feet else MM_PER_METRE
        self.context.notebook.add(
            "bed", name=told["name"], length_mm=round(told["length"] * unit_mm), rows=int(told["rows"])
        )
        self.context.navigator.back()
