"""One bed's life, its moisture drawn over time."""
# mypy: disallow-subclassing-any=False
# (Kivy ships no types)

from __future__ import annotations

from kivy.graphics import Color, Line, Rectangle, Triangle
from kivy.metrics import mm
from kivy.properties import ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.widget import Widget
from kivy.utils import get_color_from_hex

from mobile.presenters.history.bed_history import Drawing, Spot
from mobile.screens.base import theme
from mobile.screens.base.screen import Screen
from shared_models.core.vocabulary import Readiness


class BedLifeRoom(Screen):
    """How the bed is now, its moisture as a drawing, what was planted, what was seen."""


class Life(BoxLayout):
    """The drawing with its words; nothing where there is nothing to draw."""

    drawing = ObjectProperty(None, allownone=True)

    def on_drawing(self, *_: object) -> None:
        """Make it anew."""
        self.clear_widgets()
        if self.drawing is not None:
            self.add_widget(Drawn(drawing=self.drawing))


class Drawn(BoxLayout):
    """The lines between their words: wet and dry, from when and until when, and what the signs mean."""

    drawing = ObjectProperty()


class Moisture(Widget):
    """Soil checks from left to right by time, from bottom to top by moisture; days of planting as upright lines."""

    drawing = ObjectProperty()

    def __init__(self, **settings: object) -> None:
        super().__init__(**settings)
        for name in ("drawing", "pos", "size"):
            self.fbind(name, self._draw)

    def _draw(self, *_: object) -> None:
        self.canvas.clear()
        if self.drawing is None:
            return
        drawing: Drawing = self.drawing
        with self.canvas:
            Color(*get_color_from_hex(theme.TONES["plain"].ground))
            Rectangle(pos=self.pos, size=self.size)
            Color(*get_color_from_hex(theme.QUIET_EDGE))
            for along in drawing.planted:
                Rectangle(pos=(self._place(along, 0)[0] - mm(0.75), self.y), size=(mm(1.5), self.height))
            Color(*get_color_from_hex(theme.INK))
            Line(points=[xy for spot in drawing.spots for xy in self._place(spot.along, spot.wet)], width=mm(0.25))
            for spot in drawing.spots:
                self._sign(spot)

    def _place(self, along: float, wet: float) -> tuple[float, float]:
        edge = mm(2.5)
        return self.x + edge + along * (self.width - 2 * edge), self.y + edge + wet * (self.height - 2 * edge)

    def _sign(self, spot: Spot) -> None:
        (x, y), half = self._place(spot.along, spot.wet), mm(1.6)
        if spot.readiness is Readiness.READY:
            Rectangle(pos=(x - half, y - half), size=(2 * half, 2 * half))
        elif spot.readiness is Readiness.WAIT:
            Triangle(points=[x - half, y - half, x + half, y - half, x, y + 1.2 * half])
        else:
            Line(points=[x - half, y - half, x + half, y + half], width=mm(0.5))
            Line(points=[x - half, y + half, x + half, y - half], width=mm(0.5))


class Checks(BoxLayout):
    """Soil checks in words, one below the other."""

    checks = ObjectProperty(())

    def on_checks(self, *_: object) -> None:
        """Say them."""
        self.clear_widgets()
        for check in self.checks:
            self.add_widget(OneCheck(sign=check.sign, text=check.text, detail=check.detail))


class OneCheck(BoxLayout):
    """A soil check: its sign, the verdict and when, and what was seen."""

    sign = StringProperty()
    text = StringProperty()
    detail = StringProperty()
