"""One bed's history, its moisture drawn over time."""
# mypy: disallow-subclassing-any=False
# (Kivy ships no types)

from kivy.graphics import Color, Line, Rectangle, Triangle
from kivy.metrics import mm
from kivy.properties import ObjectProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.widget import Widget
from kivy.utils import get_color_from_hex

from mobile.presenters.history.bed_history import Drawing, Spot
from mobile.screens.base import theme
from mobile.screens.base.screen import Screen
from shared_models.core.vocabulary import Readiness


class BedHistoryScreen(Screen):
    """The bed now, its moisture as a chart, plantings and soil checks."""

    layout = "history/bed_history"


class MoistureChart(BoxLayout):
    """The chart with its labels; nothing where there is nothing to draw."""

    drawing = ObjectProperty(None, allownone=True)

    def on_drawing(self, *_: object) -> None:
        self.clear_widgets()
        if self.drawing is not None:
            self.add_widget(ChartWithLabels(drawing=self.drawing))


class ChartWithLabels(BoxLayout):
    """The chart between its labels: wet and dry, from when and until when, and what the signs mean."""

    drawing = ObjectProperty()


class Moisture(Widget):
    """Soil checks by time (left to right) and moisture (bottom to top); planting days as upright lines."""

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
