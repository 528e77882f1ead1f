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
        say, feet = self.kit.speech.say, self.kit.speech.feet
        length = Number(start=100, lowest=1, unit=say("ft")) if feet else Number(start=30, lowest=1, unit=say("m"))
        return [
            Question("name", say("Name"), say("What is the bed called?"), writes=True),
            Question("length", say("Length"), say("How long is it?"), number=length),
            Question("rows", say("Rows"), say("How many rows?"), number=Number(start=4, lowest=1, highest=99)),
        ]

    def save(self) -> None:
        """Write the bed."""
        told, unit_mm = self._answers, MM_PER_FOOT if self.kit.speech.feet else MM_PER_METRE
        self.kit.notebook.add(
            "bed", name=told["name"], length_mm=round(told["length"] * unit_mm), rows=int(told["rows"])
        )
        self.kit.ways.back()
