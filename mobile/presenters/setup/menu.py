"""What can be set up in the field, so that a day can begin without the office."""

from __future__ import annotations

from collections.abc import Sequence

from mobile.presenters.base.form import Question
from mobile.presenters.base.menu import Menu
from mobile.presenters.base.options import Option
from mobile.presenters.base.routes import Place


class BeginForm(Menu):
    """What is added?"""

    title = "New"

    def questions(self) -> Sequence[Question]:
        """One choice."""
        say = self.kit.speech.say
        return self.which(
            say("What do you add?"),
            Option(Place.PLANTING, say("Planting"), say("a sowing into a bed, on a day"), "+"),
            Option(Place.BED, say("Bed"), say("name, length, rows"), "+"),
            Option(Place.SOWING, say("Sowing"), say("crop, spacing"), "+"),
            Option(Place.PERSON, say("Person"), say("somebody of the crew"), "+"),
        )
