"""A new sowing: what planting needs."""

from collections.abc import Sequence

from mobile.presenters.base.form import Form, Question
from mobile.presenters.base.lists import sowings
from mobile.presenters.base.numbers import control_of, stored
from mobile.presenters.base.options import Option


class SowingForm(Form):
    """A new sowing."""

    title = "New sowing"

    def read(self) -> None:
        self._crops = tuple(dict.fromkeys(sowing.crop for sowing in sowings(self.context)))

    def questions(self) -> Sequence[Question]:
        t, spacing = self.t, control_of("sowing", "spacing_mm", self.localizer)
        crops = tuple(Option(crop, crop) for crop in self._crops)
        return [
            Question("crop", t("Crop"), t("Which crop?"), crops, writes=True),
            Question("spacing", t("Spacing"), t("How far apart in the row?"), number=spacing),
            Question("code", t("Code"), t("What is written on the trays?"), writes=True, needed=False),
        ]

    def save(self) -> None:
        answers = self._answers
        spacing_mm = stored("sowing", "spacing_mm", answers["spacing"], self.localizer)
        self.context.notebook.add("sowing", crop=answers["crop"], code=answers.get("code", ""), spacing_mm=spacing_mm)
        self.context.navigator.back()
