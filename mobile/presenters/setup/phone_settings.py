"""This phone: language, units, who has it, and how it answers a tap."""

from collections.abc import Sequence

from mobile.presenters.base.form import Form, Question
from mobile.presenters.base.lists import people
from mobile.presenters.base.options import Option
from mobile.presenters.base.presenter import USUAL, AppContext
from mobile.presenters.base.routes import Route
from shared_models.i18n.conventions import LANGUAGES
from shared_models.i18n.labels import UNITS


class PhoneForm(Form):
    """Settings of this phone alone."""

    title = "This phone"

    def __init__(self, context: AppContext) -> None:
        known = {
            "language": context.localizer.language,
            "units": context.localizer.units.value,
            "person": context.notebook.setting("person"),
            **{wish: context.preference(wish) for wish in USUAL},
        }
        super().__init__(context, **{key: value for key, value in known.items() if value})
        self._at, self._reached_review = "review", True

    def questions(self) -> Sequence[Question]:
        languages = tuple(Option(key, name) for key, name in LANGUAGES.items())
        units = tuple(Option(key.value, self.t(text)) for key, text in UNITS.items())
        everybody = tuple(Option(key, name) for key, name in people(self.context).items())
        lights = (Option("sun", self.t("Sun: dark on light")), Option("dusk", self.t("Dusk: light on dark")))
        yes_no = (Option("on", self.t("Yes")), Option("off", self.t("No")))
        return [
            Question("language", self.t("Language"), self.t("Which language?"), languages),
            Question("units", self.t("Lengths"), self.t("Which units?"), units),
            Question("person", self.t("Who"), self.t("Who has this phone?"), everybody, needed=False),
            Question("light", self.t("Screen colors"), self.t("Which screen colors?"), lights),
            Question("vibration", self.t("Vibration"), self.t("Buzz when you tap?"), yes_no),
            Question("sound", self.t("Sound"), self.t("Make a sound when you tap?"), yes_no),
            Question("voice", self.t("Voice"), self.t("Say what each tap did?"), yes_no),
        ]

    def save(self) -> None:
        self.context.notebook.change_settings(**self._answers)
        self.context.tune()
        self.context.navigator.go(Route.TODAY)
