"""A few questions, one at a time: for everything that is entered in steps."""
# mypy: disallow-subclassing-any=False

from __future__ import annotations

from typing import Any

from kivy.factory import Factory
from kivy.properties import ObjectProperty
from kivy.uix.boxlayout import BoxLayout

from mobile.screens.base.screen import Screen


class QuestionsRoom(Screen):
    """What is asked, below it the one way to answer it, and at the foot the ways back and on."""

    _answer: Any = None

    def __init__(self, presenter: Any) -> None:
        super().__init__(presenter)
        self.bind(view=self._fit)
        self._fit()

    def _fit(self, *_: object) -> None:
        """Another question needs another way to answer it."""
        if self._answer is not None and self._answer.view.key == self.view.key:
            self._answer.view = self.view
            return
        self._answer = Factory.get(ANSWERS[self.view.kind])(room=self, view=self.view)
        self.ids.answer.clear_widgets()
        self.ids.answer.add_widget(self._answer)
        if self.view.kind == "write":
            self._answer.ids.line.focus = True


class Answer(BoxLayout):
    """One way to answer one question. It is thrown away with the question, so it never hears of the next."""

    room = ObjectProperty()
    view = ObjectProperty(rebind=True)


ANSWERS = {"choose": "ToChoose", "review": "ToChoose", "number": "ToSet", "write": "ToWrite"}
