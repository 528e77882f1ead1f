"""A few questions, one at a time: for everything that is entered in steps."""
# mypy: disallow-subclassing-any=False

from typing import Any

from kivy.factory import Factory
from kivy.properties import ObjectProperty
from kivy.uix.boxlayout import BoxLayout

from mobile.screens.base.screen import Screen

ANSWERS = {"choose": "ChoiceAnswer", "review": "ChoiceAnswer", "number": "NumberAnswer", "write": "TextAnswer"}


class FormScreen(Screen):
    """The question, below it the widget that answers it, and at the foot Back and Next."""

    layout = "base/form"
    _answer: Any = None

    def __init__(self, presenter: Any) -> None:
        super().__init__(presenter)
        self.bind(view=self._show_answer)
        self._show_answer()

    def _show_answer(self, *_: object) -> None:
        """Make a new widget for a new question, so that an answer never reaches another question."""
        if self._answer is not None and self._answer.view.key == self.view.key:
            self._answer.view = self.view
            return
        self._answer = Factory.get(ANSWERS[self.view.kind])(screen=self, view=self.view)
        self.ids.answer.clear_widgets()
        self.ids.answer.add_widget(self._answer)
        if self.view.kind == "write":
            self._answer.ids.line.focus = True


class Answer(BoxLayout):
    """The widget that answers one question."""

    screen = ObjectProperty()
    view = ObjectProperty(rebind=True)
