"""Who works here; each is touched to change something."""

from __future__ import annotations

from collections.abc import Sequence

from mobile.presenters.base.form import Form, Question
from mobile.presenters.base.labels import ROLES
from mobile.presenters.base.lists import everybody
from mobile.presenters.base.options import Option
from mobile.presenters.base.routes import Place
from shared_models.core.vocabulary import Role
from shared_models.records.tables import Person

NEW = "new"


class PeopleForm(Form):
    """Who is it about?"""

    title = "People"
    reviewed = False

    def read(self) -> None:
        """Everybody."""
        self._people = everybody(self.kit)

    def questions(self) -> Sequence[Question]:
        """One choice."""
        say = self.kit.speech.say
        ask = say("Who works here?") if self._people else say("Nobody is named yet.")
        known = (Option(person.id, person.name, self._told(person), "☺") for person in self._people)
        return [Question("who", say("Who"), ask, (*known, Option(NEW, say("New person"), sign="+")))]

    def _told(self, person: Person) -> str:
        say = self.kit.speech.say
        has_phone = self.kit.notebook.setting("person") == person.id
        return " · ".join([say(ROLES[Role(person.role)]), *([say("has this phone")] if has_phone else [])])

    def pick(self, key: str) -> None:
        """On to the person."""
        if key == NEW:
            self.kit.ways.go(Place.PERSON)
        else:
            self.kit.ways.go(Place.KNOWN_PERSON, person=key)
