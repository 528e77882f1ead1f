"""A new planting: which sowing goes into which bed, and when."""

from collections.abc import Sequence
from datetime import timedelta

from mobile.presenters.base.form import Form, Question
from mobile.presenters.base.lists import beds, block_of, sowings
from mobile.presenters.base.options import Option
from mobile.presenters.base.routes import Route
from shared_models.records.tables import Sowing

DAYS_AHEAD = 7


class PlantingForm(Form):
    """A sowing goes into a bed."""

    title = "New planting"

    def read(self) -> None:
        self._beds = {each.bed.id: each.bed for each in beds(self.context)}
        self._sowings = {each.id: each for each in sowings(self.context)}

    def questions(self) -> Sequence[Question]:
        where = tuple(Option(key, bed.name, block_of(bed)) for key, bed in self._beds.items())
        what = tuple(Option(key, *self._sowing(sowing)) for key, sowing in self._sowings.items())
        return [
            Question("bed", self.t("Bed"), self.t("Which bed?"), where, new=(Route.BED, self.t("New bed"))),
            Question(
                "sowing", self.t("Sowing"), self.t("Which sowing?"), what, new=(Route.SOWING, self.t("New sowing"))
            ),
            Question("day", self.t("Day"), self.t("When?"), self._days()),
        ]

    def _sowing(self, sowing: Sowing) -> tuple[str, str]:
        named = " ".join(part for part in (sowing.crop, sowing.variety) if part)
        return named, " · ".join(part for part in (sowing.code, self.localizer.spacing(sowing.spacing_mm)) if part)

    def _days(self) -> tuple[Option, ...]:
        today, localizer = self.context.today(), self.localizer
        days = [today + timedelta(days=ahead) for ahead in range(DAYS_AHEAD)]
        return tuple(Option(day.isoformat(), localizer.day_by_itself(day, today)) for day in days)

    def save(self) -> None:
        answers = self._answers
        self.context.notebook.add("planting", bed=answers["bed"], sowing=answers["sowing"], planned_on=answers["day"])
        self.context.navigator.go(Route.TODAY)
