"""The stand count: living plants along a measured length of row, and the stand that follows."""

from collections.abc import Sequence
from typing import Any

from mobile.i18n.localizer import Localizer
from mobile.log import rows
from mobile.presenters.base.form import NO_NOTICE, Form, Number, Question
from mobile.presenters.base.lists import plantings
from mobile.presenters.base.numbers import control_of, starting, stored
from mobile.presenters.base.options import Notice, Option
from mobile.presenters.base.routes import Route
from shared_models.errors import BadQuantity
from shared_models.reports.common.find import ListedPlanting
from shared_models.trade.stand.stand import counted_stand, positions


class StandCountForm(Form):
    """One sample of one row."""

    title = "Stand count"

    def read(self) -> None:
        with self.context.notebook.reading() as session:
            begun = rows.begun_rows(session, self.context.notebook.farm)
        self._plantings = {each.planting.id: each for each in plantings(self.context) if each.planting.id in begun}

    def questions(self) -> Sequence[Question]:
        t, localizer = self.t, self.localizer
        which = tuple(Option(key, *self._named(each)) for key, each in self._plantings.items())
        length = control_of("stand_count", "sample_length_mm", localizer, starting(10, 3))
        row = control_of("stand_count", "row", localizer)
        ask = t("Which planting?") if which else t("No rows planted yet.")
        return [
            Question("planting", t("Planting"), ask, which),
            Question("row", t("Row"), t("Which row?"), number=row),
            Question("length", t("Length"), t("Length you are counting?"), number=length),
            Question("plants", t("Plants"), t("How many plants in it?"), number=Number(start=self._places())),
        ]

    def _named(self, listed: ListedPlanting) -> tuple[str, str]:
        localizer, day, today = self.localizer, listed.planting.planned_on, self.context.today()
        parts = (listed.sowing.code if listed.sowing else "", localizer.day(day, today) if day else "")
        return f"{listed.place.bed} · {listed.place.crop}", " · ".join(part for part in parts if part)

    def _places(self) -> float:
        """Plants in the stretch if none were missing: where the count starts."""
        length_mm, spacing_mm = self._length_mm, self._spacing_mm
        return round(positions(length_mm, spacing_mm)) if length_mm and spacing_mm else 50

    @property
    def _length_mm(self) -> int:
        length: float = self._answers.get("length", 0)
        return round(stored("stand_count", "sample_length_mm", length, self.localizer))

    @property
    def _spacing_mm(self) -> float | None:
        chosen = self._plantings.get(self._answers.get("planting", ""))
        return chosen.place.spacing_mm if chosen else None

    def notice(self) -> Notice:
        if "plants" not in self._answers or not self._length_mm or not self._spacing_mm:
            return NO_NOTICE
        return stand_notice(self.localizer, self._answers["plants"], positions(self._length_mm, self._spacing_mm))

    def save(self) -> None:
        answers: dict[str, Any] = self._answers
        row, plants = int(answers["row"]), int(answers["plants"])
        self.context.notebook.count_stand(answers["planting"], row, self._length_mm, plants)
        self.context.navigator.go(Route.TODAY)


def stand_notice(localizer: Localizer, plants: float, places: float) -> Notice:
    """The stand that follows from plants and places, with its interval."""
    try:
        stand = counted_stand([(plants, places)])
    except BadQuantity:
        return Notice("▲", localizer.t("More plants than spots: count each spot once."), "caution")
    text = localizer.t(
        "Stand: {stand} of {places} plants; likely {low} to {high}.",
        stand=localizer.percent(stand.proportion),
        places=localizer.number(stand.positions),
        low=localizer.percent(stand.interval.low),
        high=localizer.percent(stand.interval.high),
    )
    return Notice("✓", text, "plain")
