"""The pace of a day, drawn."""
# mypy: disallow-subclassing-any=False

from __future__ import annotations

from typing import Any

from kivy.factory import Factory
from kivy.properties import ObjectProperty
from kivy.uix.boxlayout import BoxLayout

from mobile.screens.base import bars
from mobile.screens.base.screen import Screen
from mobile.screens.base.theme import lay_out


class PaceRoom(Screen):
    """The figures; or, while something is chosen, what there is to choose. At the foot, what can be chosen."""

    def __init__(self, presenter: Any) -> None:
        lay_out(bars.__file__)
        super().__init__(presenter)
        self.bind(view=self._fit)
        self._fit()

    def _fit(self, *_: object) -> None:
        shown = Factory.get("PaceToChoose" if self.view.options else "PaceFigures")
        self.ids.shown.clear_widgets()
        self.ids.shown.add_widget(shown(room=self, view=self.view))


class PaceContent(BoxLayout):
    """What fills the middle of the screen; made anew whenever something else is to be seen."""

    room = ObjectProperty()
    view = ObjectProperty()


class Said(BoxLayout):
    """Sentences, one below the other."""

    said = ObjectProperty(())

    def on_said(self, *_: object) -> None:
        """Say them."""
        self.clear_widgets()
        for sentence in self.said:
            self.add_widget(Factory.Body(text=sentence))
