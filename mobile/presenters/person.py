"""A new person."""

from __future__ import annotations

from collections.abc import Sequence

from mobile.presenters.questions import Form, Question


class PersonForm(Form):
    """Somebody of the crew."""

    title = "New person"
    reviewed = False

    def questions(self) -> Sequence[Question]:
        """A name."""
        say = self.kit.speech.say
        return [Question("name", say("Name"), say("What is the person called?"), writes=True)]

    def save(self) -> None:
        """Write the person."""
        self.kit.notebook.add("person", name=self._answers["name"])
        self.kit.ways.back()
