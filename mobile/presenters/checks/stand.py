"""The stand count: living plants along a measured length of row, and what that makes of the stand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from mobile.i18n.localizer import Localizer
from mobile.log import rows
from mobile.presenters.base.form import NOTHING_TOLD, Form, Number, Question
from mobile.presenters.base.lists import plantings
from mobile.presenters.base.numbers import control_of, starting, stored
from mobile.presenters.base.options import Option
from mobile.presenters.base.routes import Route
from mobile.presenters.sync.status import Notice
from shared_models.errors import BadQuantity
from shared_models.reports.common.find import ListedPlanting
from shared_models.trade.stand.stand import counted_stand, positions


class StandForm(Form):
    """One sample of one row."""

    title = "Stand count"

    def read(self) -> None:
        """Which plantings have rows, the last one first."""
        with self.context.notebook.reading() as session:
            begun = rows.begun_rows(session, self.context.notebook.farm)
        self._plantings = {each.planting.id: each for each in plantings(self.context) if each.planting.id in begun}

    def questions(self) -> Sequence[Question]:
        """Planting, row, length, plants."""
        t, localizer = self.context.localizer.t, self.context.localizer
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
        localizer, day, today = self.context.localizer, listed.planting.planned_on, self.context.today()
        told = (listed.sowing.code if listed.sowing else "", localizer.day(day, today) if day else "")
        return f"{listed.place.bed} · {listed.place.crop}", " · ".join(part for part in told if part)

    def _places(self) -> float:
        """Plants that would stand in the stretch if none were missing: a count starts from there."""
        length_mm, spacing_mm = self._length_mm, self._spacing_mm
        return round(positions(length_mm, spacing_mm)) if length_mm and spacing_mm else 50

    @property
    def _length_mm(self) -> int:
        length: float = self._answers.get("length", 0)
        return round(stored("stand_count", "sample_length_mm", length, self.context.localizer))

    @property
    def _spacing_mm(self) -> float | None:
        chosen = self._plantings.get(self._answers.get("planting", ""))
        return chosen.place.spacing_mm if chosen else None

    def news(self) -> Notice:
        """The stand, and how sure it is."""
        if "plants" not in self._answers or not self._length_mm or not self._spacing_mm:
            return NOTHING_TOLD
        return stand_told(self.context.localizer, self._answers["plants"], positions(self._length_mm, self._spacing_mm))

    def save(self) -> None:
        """Write the count."""
        told: dict[str, Any] = self._answers
        self.context.notebook.count_stand(told["planting"], int(told["row"]), self._length_mm, int(told["plants"]))
        self.context.navigator.go(Route.TODAY)


def stand_told(localizer: Localizer, plants: float, places: float) -> Notice:
    """What so many plants on so many places make of the stand, and how sure that is."""
    try:
        stand = counted_stand([(plants, places)])
    except BadQuantity:
        return Notice("▲", localizer.t("More plants than spots: count each spot once."), "caution")
    told = localizer.t(
        "Stand: {stand} of {places} plants; likely {low} to {high}.",
        stand=localizer.share(stand.proportion),
        places=localizer.number(stand.positions),
        low=localizer.share(stand.interval.low),
        high=localizer.share(stand.interval.high),
    )
    return Notice("✓", told, "plain")
