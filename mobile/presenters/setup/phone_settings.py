"""This phone: its language, its units, who has it in the hand, and how it answers a tap."""

from __future__ import annotations

from collections.abc import Sequence

from mobile.presenters.base.form import Form, Question
from mobile.presenters.base.labels import UNITS
from mobile.presenters.base.lists import people
from mobile.presenters.base.options import Option
from mobile.presenters.base.presenter import USUAL, Kit
from mobile.presenters.base.routes import Place
from shared_models.i18n.localizer import LANGUAGES


class PhoneForm(Form):
    """Settings of this phone alone."""

    title = "This phone"

    def __init__(self, kit: Kit) -> None:
        told = {
            "language": kit.speech.language,
            "units": kit.speech.units.value,
            "person": kit.notebook.setting("person"),
            **{wish: kit.wish(wish) for wish in USUAL},
        }
        super().__init__(kit, **{key: value for key, value in told.items() if value})
        self._at, self._looked_over = "review", True

    def questions(self) -> Sequence[Question]:
        """Language, units, person; the light; vibration, sound and voice."""
        say = self.kit.speech.say
        languages = tuple(Option(key, manner.name) for key, manner in LANGUAGES.items())
        units = tuple(Option(key.value, say(text)) for key, text in UNITS.items())
        everybody = tuple(Option(key, name) for key, name in people(self.kit).items())
        lights = (Option("sun", say("Sun: dark on pale")), Option("dusk", say("Dusk: pale on dark")))
        yes_no = (Option("on", say("Yes")), Option("off", say("No")))
        return [
            Question("language", say("Language"), say("Which language?"), languages),
            Question("units", say("Lengths"), say("How are lengths told?"), units),
            Question("person", say("Who"), say("Who has this phone?"), everybody, needed=False),
            Question("light", say("Light"), say("In which light is the screen read?"), lights),
            Question("vibration", say("Vibration"), say("Does the phone buzz when you tap?"), yes_no),
            Question("sound", say("Sound"), say("Does it sound when you tap?"), yes_no),
            Question("voice", say("Voice"), say("Does it say what a tap did?"), yes_no),
        ]

    def save(self) -> None:
        """Keep it, and talk that way from now on."""
        self.kit.notebook.change_settings(**self._answers)
        self.kit.tune()
        self.kit.ways.go(Place.TODAY)
