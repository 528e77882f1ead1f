"""A new bed: what rows and rates need."""

from collections.abc import Sequence

from mobile.presenters.base.form import Form, Question
from mobile.presenters.base.numbers import control_of, starting, stored


class BedForm(Form):
    """A new bed."""

    title = "New bed"

    def questions(self) -> Sequence[Question]:
        t, localizer = self.t, self.localizer
        length, rows = control_of("bed", "length_mm", localizer), control_of("bed", "rows", localizer, starting(4))
        return [
            Question("name", t("Name"), t("What is the bed called?"), writes=True),
            Question("length", t("Length"), t("How long is it?"), number=length),
            Question("rows", t("Rows"), t("How many rows?"), number=rows),
        ]

    def save(self) -> None:
        answers = self._answers
        length_mm = stored("bed", "length_mm", answers["length"], self.localizer)
        self.context.notebook.add("bed", name=answers["name"], length_mm=length_mm, rows=int(answers["rows"]))
        self.context.navigator.back()
