"""What can be set up in the field, so that a day can begin without the office."""

from __future__ import annotations

from collections.abc import Sequence

from mobile.presenters.options import Option
from mobile.presenters.places import Place
from mobile.presenters.questions import Form, Question


class BeginForm(Form):
    """What is new?"""

    title = "New"
    reviewed = False

    def questions(self) -> Sequence[Question]:
        """One choice."""
        say = self.kit.speech.say
        options = (
            Option(Place.PLANTING, say("Planting"), say("a sowing into a bed, on a day"), "+"),
            Option(Place.BED, say("Bed"), say("name, length, rows"), "+"),
            Option(Place.SOWING, say("Sowing"), say("crop, spacing"), "+"),
            Option(Place.PERSON, say("Person"), say("somebody of the crew"), "+"),
            Option(Place.PHONE, say("This phone"), say("language, units, who has it"), "…"),
        )
        return [Question("what", say("New"), say("What is new?"), options)]

    def save(self) -> None:
        """On to the form for it."""
        self.kit.ways.go(Place(self._answers["what"]), instead=True)
