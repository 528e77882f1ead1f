"""This phone: its language, its units, and who has it in the hand."""

from __future__ import annotations

from collections.abc import Sequence

from mobile.presenters.kit import Kit
from mobile.presenters.known import people
from mobile.presenters.options import Option
from mobile.presenters.places import Place
from mobile.presenters.questions import Form, Question
from mobile.presenters.words import UNITS
from mobile.speech import LANGUAGES


class PhoneForm(Form):
    """Settings of this phone alone."""

    title = "This phone"

    def __init__(self, kit: Kit) -> None:
        told = {
            "language": kit.speech.language,
            "units": kit.speech.units.value,
            "person": kit.notebook.setting("person"),
        }
        super().__init__(kit, **{key: value for key, value in told.items() if value})
        self._at, self._looked_over = "review", True

    def questions(self) -> Sequence[Question]:
        """Language, units, person."""
        say = self.kit.speech.say
        languages = tuple(Option(key, manner.name) for key, manner in LANGUAGES.items())
        units = tuple(Option(key.value, say(text)) for key, text in UNITS.items())
        everybody = tuple(Option(key, name) for key, name in people(self.kit).items())
        return [
            Question("language", say("Language"), say("Which language?"), languages),
            Question("units", say("Lengths"), say("How are lengths told?"), units),
            Question("person", say("Who"), say("Who has this phone?"), everybody, needed=False),
        ]

    def save(self) -> None:
        """Keep it, and talk that way from now on."""
        self.kit.notebook.change_settings(**self._answers)
        self.kit.tune()
        self.kit.ways.go(Place.TODAY)
