"""Bars: figures seen before they are read. What a bar stands for, and how much it is, stands beside it in words."""
# mypy: disallow-subclassing-any=False
# (Kivy ships no types)

from __future__ import annotations

from kivy.properties import NumericProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.widget import Widget


class Bars(BoxLayout):
    """Bars on one scale, one below the other."""

    bars = ObjectProperty(())

    def on_bars(self, *_: object) -> None:
        """Draw them anew."""
        self.clear_widgets()
        for bar in self.bars:
            mark = -1 if bar.mark is None else bar.mark
            self.add_widget(OneBar(text=bar.text, detail=bar.detail, size_of=bar.size, mark=mark))


class OneBar(BoxLayout):
    """A bar between its name with its figure, and what goes with it."""

    text = StringProperty()
    detail = StringProperty()
    size_of = NumericProperty(0)
    mark = NumericProperty(-1)


class Stretch(Widget):
    """The bar itself, `size_of` of the width; where `mark` is not negative, a line stands across it."""

    size_of = NumericProperty(0)
    mark = NumericProperty(-1)
    #: how far the longest bar goes
    reach = NumericProperty(0)
