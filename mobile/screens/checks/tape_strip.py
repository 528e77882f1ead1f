"""The tape along the row, large enough for a gloved finger."""
# mypy: disallow-subclassing-any=False
# (Kivy ships no types)

from typing import Any

from kivy.graphics import Color, Ellipse, Line, Rectangle
from kivy.metrics import mm, sp
from kivy.properties import ObjectProperty
from kivy.uix.behaviors import ButtonBehavior
from kivy.uix.label import Label
from kivy.uix.widget import Widget
from kivy.utils import get_color_from_hex
from typing_extensions import override

from mobile.screens.base import theme
from mobile.screens.base.screen import Screen

#: a finger this near to a plant means that plant
REACH_MM = 4.0
PLANT_MM, CHOSEN_MM = 2.0, 3.0
MARK_MM, NUMBERED_MM = 3.0, 6.0
TEXT_SP = 18.0
LINE_SP = 1.4


class TapeStripScreen(Screen):
    """The tape on the left with its start at the bottom; beside it the buttons that move along it and mark plants."""

    layout = "checks/tape_strip"


class Tape(ButtonBehavior, Widget):
    """A stretch of tape with its plants; `on_spot` gives where a finger was lifted, and its reach, as shares of it."""

    marks = ObjectProperty(())
    spots = ObjectProperty(())
    __events__ = ("on_spot",)

    def __init__(self, **settings: Any) -> None:
        super().__init__(**settings)
        for name in ("pos", "size", "spots"):
            self.fbind(name, self._draw)
        for name in ("pos", "size", "marks"):
            self.fbind(name, self._number)

    def on_spot(self, at: float, reach: float) -> None:
        """Kivy's default handler: nothing."""

    @override
    def on_release(self) -> None:
        at = (self.last_touch.y - self._bottom) / self._length
        self.dispatch("on_spot", min(max(at, 0.0), 1.0), mm(REACH_MM) / self._length)

    @property
    def _margin(self) -> float:
        """Space for half a number, or half a plant, beyond each end."""
        return max(float(sp(TEXT_SP)) * LINE_SP / 2, float(mm(CHOSEN_MM))) + float(mm(1))

    @property
    def _bottom(self) -> float:
        return float(self.y) + self._margin

    @property
    def _length(self) -> float:
        return max(1.0, float(self.height) - 2 * self._margin)

    def _height_of(self, at: float) -> float:
        return self._bottom + at * self._length

    def _draw(self, *_: object) -> None:
        ink, ground = theme.INK, theme.TONES["plain"].ground
        self.canvas.before.clear()
        with self.canvas.before:
            Color(rgba=get_color_from_hex(ink))
            Rectangle(pos=self.pos, size=self.size)
            Color(rgba=get_color_from_hex(ground))
            rim = mm(0.5)
            Rectangle(pos=(self.x + rim, self.y + rim), size=(self.width - 2 * rim, self.height - 2 * rim))
            Color(rgba=get_color_from_hex(ink))
            for mark in self.marks:
                height = self._height_of(mark.at)
                long = mm(NUMBERED_MM if mark.text else MARK_MM)
                Rectangle(pos=(self.x, height - rim / 2), size=(long, rim))
            for spot in self.spots:
                self._plant(spot)

    def _plant(self, spot: Any) -> None:
        x, y = self.right - mm(CHOSEN_MM + 2), self._height_of(spot.at)
        if spot.chosen:
            Line(circle=(x, y, mm(CHOSEN_MM)), width=mm(0.4))
        radius = mm(PLANT_MM)
        Ellipse(pos=(x - radius, y - radius), size=(2 * radius, 2 * radius))

    def _number(self, *_: object) -> None:
        self.clear_widgets()
        for mark in self.marks:
            if mark.text:
                number = Label(text=mark.text, color=theme.INK, font_size=sp(TEXT_SP), size_hint=(None, None))
                number.texture_update()
                number.size = number.texture_size
                number.pos = (self.x + mm(NUMBERED_MM + 1), self._height_of(mark.at) - number.height / 2)
                self.add_widget(number)
        self._draw()
