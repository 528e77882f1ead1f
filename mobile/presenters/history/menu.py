"""What can be looked up: how it went, what was written down, who and what is here."""

from __future__ import annotations

from collections.abc import Sequence

from mobile.presenters.base.form import Question
from mobile.presenters.base.menu import Menu
from mobile.presenters.base.options import Option
from mobile.presenters.base.routes import Place


class LookForm(Menu):
    """What is looked up?"""

    title = "Look"
    comes_again = True

    def questions(self) -> Sequence[Question]:
        """One choice, what is asked most first."""
        say = self.kit.speech.say
        return self.which(
            say("What do you look up?"),
            Option(Place.PACE, say("Pace"), say("how fast it went, and what slowed you"), "≡"),
            Option(Place.BEDS, say("Beds and soil"), say("how each bed is, and was"), "▒"),
            Option(Place.ENTRIES, say("Entries and corrections"), say("what was written down, by whom"), "✎"),
            Option(Place.PEOPLE, say("People"), say("who works here"), "☺"),
            Option(Place.ABOUT, say("About and cautions"), say("what this app is, and is not"), "?"),
            Option(Place.PHONE, say("This phone"), say("language, units, who has it"), "…"),
        )
