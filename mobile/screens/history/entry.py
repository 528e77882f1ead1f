"""One entry, and what became of it."""
# mypy: disallow-subclassing-any=False

from __future__ import annotations

from kivy.properties import ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout

from mobile.screens.base.screen import Screen


class EntryRoom(Screen):
    """What it tells, each thing to be touched; then its history; below it the ways back and out of all lists."""


class History(BoxLayout):
    """Lines of a log, each with who wrote it and when."""

    lines = ObjectProperty(())

    def on_lines(self, *_: object) -> None:
        """Lay the lines out anew."""
        self.clear_widgets()
        for line in self.lines:
            self.add_widget(OneLine(when=line.when, what=line.what))


class OneLine(BoxLayout):
    """One line of a log."""

    when = StringProperty()
    what = StringProperty()
