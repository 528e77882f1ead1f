"""A new sowing: as much as planting has to know."""

from __future__ import annotations

from collections.abc import Sequence

from mobile.presenters.base.form import Form, Number, Question
from mobile.presenters.base.lists import sowings
from mobile.presenters.base.options import Option
from shared_models.core.units import MM_PER_INCH

MM_PER_CM = 10.0


class SowingForm(Form):
    """Trays of a crop, as far as planting has to know them."""

    title = "New sowing"

    def read(self) -> None:
        """Crops sown before are offered."""
        self._crops = tuple(dict.fromkeys(sowing.crop for sowing in sowings(self.context)))

    def questions(self) -> Sequence[Question]:
        """Crop, spacing and a code to tell it from others."""
        t, feet = self.context.localizer.t, self.context.localizer.feet
        unit = t("in") if feet else t("cm")
        spacing = Number(start=2 if feet else 5, lowest=1, highest=99, unit=unit)
        crops = tuple(Option(crop, crop) for crop in self._crops)
        return [
            Question("crop", t("Crop"), t("Which crop?"), crops, writes=True),
            Question("spacing", t("Spacing"), t("How far apart in the row?"), number=spacing),
            Question("code", t("Code"), t("What is written on the trays?"), writes=True, needed=False),
        ]

    def save(self) -> None:
        """Write the sowing."""
        told, unit_mm = self._answers, MM_PER_INCH if self.context.localizer.feet else MM_PER_CM
        spacing = {"spacing_mm": told["spacing"] * unit_mm}
        self.context.notebook.add("sowing", crop=told["crop"], code=told.get("code", ""), **spacing)
        self.context.navigator.back()
