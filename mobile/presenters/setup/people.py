"""The people who work here; tap one to edit."""

from collections.abc import Sequence

from mobile.presenters.base.form import Form, Question
from mobile.presenters.base.lists import everybody
from mobile.presenters.base.options import Option
from mobile.presenters.base.routes import Route
from shared_models.core.vocabulary import Role
from shared_models.i18n.labels import ROLES
from shared_models.records.tables import Person


class PeopleForm(Form):
    """Which person?"""

    title = "People"
    reviewed = False

    def read(self) -> None:
        self._people = everybody(self.context)

    def questions(self) -> Sequence[Question]:
        ask = self.t("Who works here?") if self._people else self.t("No people yet.")
        known = tuple(Option(person.id, person.name, self._detail(person), "☺") for person in self._people)
        return [Question("who", self.t("Who"), ask, known, new=(Route.PERSON, self.t("New person")))]

    def _detail(self, person: Person) -> str:
        has_phone = self.context.notebook.setting("person") == person.id
        return " · ".join([self.t(ROLES[Role(person.role)]), *([self.t("has this phone")] if has_phone else [])])

    def save(self) -> None:
        self.context.navigator.go(Route.EDIT_PERSON, person=self._answers["who"])
