"""What a bed was worth."""
# mypy: disallow-subclassing-any=False

from __future__ import annotations

from kivy.properties import ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.gridlayout import GridLayout

from mobile.screens.base.screen import Screen


class FinishedRoom(Screen):
    """The figures, then the rows with their misses; a row is touched to fill it."""


class Facts(GridLayout):
    """Figures, each with its name above it."""

    facts = ObjectProperty(())

    def on_facts(self, *_: object) -> None:
        """Lay the figures out anew."""
        self.clear_widgets()
        for fact in self.facts:
            self.add_widget(OneFact(name=fact.name, figure=fact.figure))


class OneFact(BoxLayout):
    """A figure and its name."""

    name = StringProperty()
    figure = StringProperty()
