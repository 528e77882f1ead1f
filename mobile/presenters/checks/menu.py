"""What can be looked at closely in the field and written down: soil, trays, stand, lengths."""

from __future__ import annotations

from collections.abc import Sequence

from mobile.presenters.base.form import Question
from mobile.presenters.base.menu import Menu
from mobile.presenters.base.options import Option
from mobile.presenters.base.routes import Place


class CheckForm(Menu):
    """What is checked?"""

    title = "Check"

    def questions(self) -> Sequence[Question]:
        """One choice, in the order of the season's work."""
        say = self.kit.speech.say
        return self.which(
            say("What do you check?"),
            Option(Place.SOIL, say("Soil check"), say("is the bed fit to plant?"), "▒"),
            Option(Place.TRAYS, say("Tray check"), say("are the plants ready to go out?"), "▦"),
            Option(Place.STAND, say("Stand count"), say("how many plants stand in a length"), "#"),
            Option(Place.TAPE, say("Tape sample"), say("each plant at its place on the tape"), "┼"),
            Option(Place.LENGTH, say("Row length"), say("from the row's two ends"), "↔"),
        )
