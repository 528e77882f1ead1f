"""The stand count: living plants along a measured length of row, and what that makes of the stand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from mobile.i18n.localizer import Speech
from mobile.log import rows
from mobile.presenters.base.form import NOTHING_TOLD, Form, Number, Question
from mobile.presenters.base.lists import plantings
from mobile.presenters.base.options import Option
from mobile.presenters.base.routes import Place
from mobile.presenters.sync.status import Held
from shared_models.core.units import MM_PER_FOOT, MM_PER_METRE
from shared_models.errors import BadQuantity
from shared_models.reports.common.find import ListedPlanting
from shared_models.trade.stand.stand import counted_stand, positions


class StandForm(Form):
    """One sample of one row."""

    title = "Stand count"

    def read(self) -> None:
        """Which plantings have rows, the last one first."""
        with self.kit.notebook.reading() as session:
            begun = rows.begun_rows(session, self.kit.notebook.farm)
        self._plantings = {each.planting.id: each for each in plantings(self.kit) if each.planting.id in begun}

    @property
    def _unit_mm(self) -> float:
        return MM_PER_FOOT if self.kit.speech.feet else MM_PER_METRE

    def questions(self) -> Sequence[Question]:
        """Planting, row, length, plants."""
        say, speech = self.kit.speech.say, self.kit.speech
        which = tuple(Option(key, *self._named(each)) for key, each in self._plantings.items())
        length = Number(start=10 if speech.feet else 3, lowest=1, unit=say("ft") if speech.feet else say("m"))
        ask = say("Which planting is counted?") if which else say("No planting has rows yet.")
        return [
            Question("planting", say("Planting"), ask, which),
            Question("row", say("Row"), say("In which row?"), number=Number(start=1, lowest=1, highest=99)),
            Question("length", say("Length"), say("How long is the stretch you count?"), number=length),
            Question("plants", say("Plants"), say("How many plants stand in it?"), number=Number(start=self._places())),
        ]

    def _named(self, listed: ListedPlanting) -> tuple[str, str]:
        speech, day, today = self.kit.speech, listed.planting.planned_on, self.kit.today()
        told = (listed.sowing.code if listed.sowing else "", speech.day(day, today) if day else "")
        return f"{listed.place.bed} · {listed.place.crop}", " · ".join(part for part in told if part)

    def _places(self) -> float:
        """Plants that would stand in the stretch if none were missing: a count starts from there."""
        length_mm, spacing_mm = self._length_mm, self._spacing_mm
        return round(positions(length_mm, spacing_mm)) if length_mm and spacing_mm else 50

    @property
    def _length_mm(self) -> int:
        length: float = self._answers.get("length", 0)
        return round(length * self._unit_mm)

    @property
    def _spacing_mm(self) -> float | None:
        chosen = self._plantings.get(self._answers.get("planting", ""))
        return chosen.place.spacing_mm if chosen else None

    def news(self) -> Held:
        """The stand, and how sure it is."""
        if "plants" not in self._answers or not self._length_mm or not self._spacing_mm:
            return NOTHING_TOLD
        return stand_told(self.kit.speech, self._answers["plants"], positions(self._length_mm, self._spacing_mm))

    def save(self) -> None:
        """Write the count."""
        told: dict[str, Any] = self._answers
        self.kit.notebook.count_stand(told["planting"], int(told["row"]), self._length_mm, int(told["plants"]))
        self.kit.ways.go(Place.TODAY)


def stand_told(speech: Speech, plants: float, places: float) -> Held:
    """What so many plants on so many places make of the stand, and how sure that is."""
    try:
        stand = counted_stand([(plants, places)])
    except BadQuantity:
        return Held("▲", speech.say("More plants than places: count each place once."), "caution")
    told = speech.say(
        "{stand} of {places} places stand; likely {low} to {high}.",
        stand=speech.share(stand.proportion),
        places=speech.number(stand.positions),
        low=speech.share(stand.interval.low),
        high=speech.share(stand.interval.high),
    )
    return Held("✓", told, "plain")
