"""The pace of a day, drawn."""
# mypy: disallow-subclassing-any=False

from typing import Any

from kivy.factory import Factory
from kivy.properties import ObjectProperty
from kivy.uix.boxlayout import BoxLayout

from mobile.screens.base.screen import Screen


class PaceScreen(Screen):
    """The figures; or, while something is chosen, the options. At the foot, what can be chosen."""

    layout = "history/pace"

    def __init__(self, presenter: Any) -> None:
        super().__init__(presenter)
        self.bind(view=self._show_content)
        self._show_content()

    def _show_content(self, *_: object) -> None:
        content = Factory.get("PaceOptions" if self.view.options else "PaceFigures")
        self.ids.shown.clear_widgets()
        self.ids.shown.add_widget(content(screen=self, view=self.view))


class PaceContent(BoxLayout):
    """The middle of the screen, made anew for each view."""

    screen = ObjectProperty()
    view = ObjectProperty()
