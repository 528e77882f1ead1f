"""Our plain look: dark words on pale ground, large enough for gloves and for the sun.

Sizes are in millimetres and sp, as text ("15mm"), so that they follow the glass and the person's text size. Colour
never tells anything alone: a word or a sign goes with it. Importing this opens no window; `lay_out` reads the .kv.
"""
# mypy: disallow-subclassing-any=False
# (Kivy ships no types)

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from kivy.clock import Clock
from kivy.lang import Builder
from kivy.properties import BooleanProperty, ColorProperty, NumericProperty, OptionProperty, StringProperty
from kivy.uix.behaviors import ButtonBehavior
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.label import Label

IN_ROW = "15mm"  # what is touched in the row
TARGET = "10mm"  # what is touched elsewhere
GAP = "2mm"
RIM = "0.5mm"
CHOSEN_RIM = "1.2mm"
TEXT = "18sp"
BUTTON = "22sp"
HEADING = "26sp"
STEP = "36sp"
COUNT = "48sp"
LONG_COUNT = 4  # letters, from which on a count is written smaller
SIGNS = "data/fonts/DejaVuSans.ttf"  # comes with Kivy and has the signs that its text font lacks

INK = "#17140c"
PAPER = "#fffdf5"
QUIET_EDGE = "#5c5646"


@dataclass(frozen=True, slots=True)
class Tone:
    """The colours of something to touch: words, ground, ground while pressed, edge."""

    ink: str
    ground: str
    pressed: str
    edge: str


TONES = {
    "plain": Tone(INK, "#ece5d3", "#cfc4a6", INK),
    "strong": Tone("#ffffff", "#0b3d66", "#06243d", INK),
    "caution": Tone(INK, "#ffcf4d", "#e8b31f", INK),
    "quiet": Tone(INK, PAPER, "#ece5d3", QUIET_EDGE),
}


def lay_out(module_file: str = __file__) -> None:
    """Read the .kv file beside a module, once in a process; without a module, the theme's own."""
    kv = str(Path(module_file).with_suffix(".kv"))
    if kv not in Builder.files:
        Builder.load_file(kv, encoding="utf-8")


class Words(Label):
    """Words that wrap to their width and ask for the height they need. Inside of something that lays them out."""


class Body(Words):
    """A paragraph on the page: takes the width it gets and grows downwards."""


class Heading(Body):
    """What the page, or a part of it, is about."""


class Sign(Label):
    """A single sign, as wide as it is."""


class Page(BoxLayout):
    """The pale ground of a whole screen, with a margin; what is in it goes from top to bottom."""

    ground = ColorProperty(PAPER)


class Column(BoxLayout):
    """Goes from top to bottom and is as high as what is in it: the content of a list that scrolls."""


class Pressable(ButtonBehavior, BoxLayout):
    """Something to touch: at least `least` high, and higher when its words need it."""

    tone = OptionProperty("plain", options=list(TONES))
    least = NumericProperty(TARGET)
    rim = NumericProperty(RIM)
    ink = ColorProperty(INK)
    edge = ColorProperty(INK)
    face = ColorProperty(PAPER)

    #: what changes the colours, and what changes the height
    looks: ClassVar[tuple[str, ...]] = ("tone", "state", "disabled")
    needs: ClassVar[tuple[str, ...]] = ("least", "minimum_height", "size_hint_y")

    def __init__(self, **settings: Any) -> None:
        super().__init__(**settings)
        for name in self.looks:
            self.fbind(name, self._dress)
        for name in self.needs:
            self.fbind(name, self._grow)
        self._dress()
        self._grow()

    def _dress(self, *_: object) -> None:
        tone = TONES["quiet" if self.disabled else self.tone]
        self.ink, self.edge = tone.ink, tone.edge
        self.face = tone.pressed if self.state == "down" else tone.ground

    def _grow(self, *_: object) -> None:
        needed = max(self.least, self.minimum_height)
        self.size_hint_min_y = needed
        if self.size_hint_y is None:
            self.height = needed


class BigButton(Pressable):
    """A button with words and, before them, a sign."""

    text = StringProperty()
    sign = StringProperty()
    font_size = NumericProperty(BUTTON)


class Tile(Pressable):
    """A button in the row that shows a count large, with its name and a sign above."""

    text = StringProperty()
    sign = StringProperty()
    count = StringProperty()


class Choice(Pressable):
    """A row of a list, with a sign before it. Chosen, it has a tick for a sign and a thick edge."""

    text = StringProperty()
    detail = StringProperty()
    sign = StringProperty("○")
    font_size = NumericProperty(TEXT)
    chosen = BooleanProperty(defaultvalue=False)


class Strip(BoxLayout):
    """The line on top that says how things stand; without words it takes no room. Not to touch."""

    text = StringProperty()
    sign = StringProperty()
    tone = OptionProperty("plain", options=list(TONES))


class NumberEntry(BoxLayout):
    """A number between − and +, set with gloves: a tap is one step, holding goes on, and after a while in tens.

    `value` is None until it is set; the first tap then gives `start`.
    """

    text = StringProperty()
    unit = StringProperty()
    value = NumericProperty(None, allownone=True)
    start = NumericProperty(0)
    step = NumericProperty(1)
    lowest = NumericProperty(0)
    highest = NumericProperty(999_999)
    decimals = NumericProperty(0)
    point = StringProperty(".")
    shown = StringProperty("–")

    first_wait_s: ClassVar[float] = 0.5
    wait_s: ClassVar[float] = 0.12
    ones: ClassVar[int] = 10
    _holding: Any = None
    _steps = 0

    def on_kv_post(self, _base: object) -> None:
        """Show the number, and again whenever it changes."""
        for name in ("value", "unit", "decimals", "point"):
            self.fbind(name, self._show)
        self._show()

    def hold(self, direction: int) -> None:
        """A finger went down on − or +."""
        self.let_go()
        self._steps = 0
        self._take(direction)
        self._holding = Clock.schedule_once(lambda _: self._go_on(direction), self.first_wait_s)

    def let_go(self) -> None:
        """The finger went up."""
        if self._holding is not None:
            self._holding.cancel()

    def _go_on(self, direction: int) -> None:
        self._take(direction)
        self._holding = Clock.schedule_once(lambda _: self._go_on(direction), self.wait_s)

    def _take(self, direction: int) -> None:
        """One step; after many, ten at once, on round numbers."""
        self._steps += 1
        if self.value is None:
            self.value = self.start
            return
        step = self.step if self._steps <= self.ones else self.step * 10
        steps = self.value / step
        whole = round(steps)
        if abs(steps - whole) > 1e-9:  # noqa: PLR2004 - as good as whole
            whole = int(steps // 1) + (direction < 0)
        self.value = min(self.highest, max(self.lowest, round((whole + direction) * step, 6)))

    def _show(self, *_: object) -> None:
        number = "–" if self.value is None else f"{self.value:.{self.decimals}f}"
        number = number.replace("-", "−").replace(".", self.point)
        self.shown = f"{number} {self.unit}".strip()
