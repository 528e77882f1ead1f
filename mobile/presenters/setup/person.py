"""A person: new, or to be edited."""

from collections.abc import Sequence

from mobile.presenters.base.form import REVIEW, Form, Question
from mobile.presenters.base.lists import everybody
from mobile.presenters.base.options import Option
from mobile.presenters.base.presenter import AppContext
from shared_models.errors import UnknownRecord
from shared_models.i18n.labels import ROLES

YES, NO = "yes", "no"


class PersonForm(Form):
    """A new person."""

    title = "New person"
    reviewed = False

    def questions(self) -> Sequence[Question]:
        return [Question("name", self.t("Name"), self.t("What is their name?"), writes=True)]

    def save(self) -> None:
        self.context.notebook.add("person", name=self._answers["name"])
        self.context.navigator.back()


class EditPersonForm(Form):
    """Name, role, and whether the person has this phone. Only changes are written."""

    title = "Person"

    def __init__(self, context: AppContext, person: str) -> None:
        known = next((each for each in everybody(context) if each.id == person), None)
        if known is None:
            raise UnknownRecord("person", person)
        self._id = person
        has_phone = context.notebook.setting("person") == person
        self._was = {"name": known.name, "role": known.role, "phone": YES if has_phone else NO, "here": YES}
        super().__init__(context, **self._was)
        self._at, self._reached_review = REVIEW, True

    def questions(self) -> Sequence[Question]:
        roles = tuple(Option(role.value, self.t(text)) for role, text in ROLES.items())
        here = Option(YES, self.t("Yes")), Option(NO, self.t("No"), self.t("off the lists, kept in old entries"))
        return [
            Question("name", self.t("Name"), self.t("What is their name?"), writes=True),
            Question("role", self.t("Role"), self.t("What is their job?"), roles),
            Question("phone", self.t("This phone"), self.t("Who has this phone?"), self._holders()),
            Question("here", self.t("Works here"), self.t("Still works here?"), here),
        ]

    def _holders(self) -> tuple[Option, ...]:
        t, name = self.t, self._answers.get("name", self._was["name"])
        return Option(YES, t("{name} has it", name=name)), Option(NO, t("Someone else"))

    def save(self) -> None:
        answers, notebook = self._answers, self.context.notebook
        changed = {name: answers[name] for name in ("name", "role") if answers[name] != self._was[name]}
        if answers["here"] == NO:
            changed["voided"] = True
        if changed:
            notebook.write("person", self._id, changed)
        if answers["phone"] == YES and answers["here"] == YES:
            notebook.change_settings(person=self._id)
        elif notebook.setting("person") == self._id:
            notebook.change_settings(person=None)
        self.context.navigator.back()
