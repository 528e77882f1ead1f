"""Our plain look: large enough for gloves, dark on pale for the sun, pale on dark for dusk.

Sizes are in millimetres and sp, as text ("15mm"), so that they follow the glass and the person's text size. Colour
never tells anything alone: a word or a sign goes with it. Importing this opens no window; `lay_out` reads the .kv.
"""
# mypy: disallow-subclassing-any=False
# (Kivy ships no types)

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from kivy.clock import Clock
from kivy.lang import Builder
from kivy.properties import (
    BooleanProperty,
    ColorProperty,
    NumericProperty,
    ObjectProperty,
    OptionProperty,
    StringProperty,
)
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


@dataclass(frozen=True, slots=True)
class Tone:
    """The colours of something to touch: words, ground, ground while pressed, edge."""

    ink: str
    ground: str
    pressed: str
    edge: str


@dataclass(frozen=True, slots=True)
class Light:
    """What everything looks like in one kind of light: words, ground, the edge of what matters less, and the tones."""

    ink: str
    paper: str
    quiet_edge: str
    tones: Mapping[str, Tone]


#: dark words on pale ground, for the sun
SUN = Light(
    ink="#17140c",
    paper="#fffdf5",
    quiet_edge="#5c5646",
    tones={
        "plain": Tone("#17140c", "#ece5d3", "#cfc4a6", "#17140c"),
        "strong": Tone("#ffffff", "#0b3d66", "#06243d", "#17140c"),
        "caution": Tone("#17140c", "#ffcf4d", "#e8b31f", "#17140c"),
        "quiet": Tone("#17140c", "#fffdf5", "#ece5d3", "#5c5646"),
    },
)
#: warm light words on dark ground, for eyes that are to see the bed again when they look up
DUSK = Light(
    ink="#f2e3c2",
    paper="#14110b",
    quiet_edge="#a89a7c",
    tones={
        "plain": Tone("#f2e3c2", "#2e281b", "#463d29", "#f2e3c2"),
        "strong": Tone("#120e06", "#d39b3c", "#e9bd70", "#f2e3c2"),
        "caution": Tone("#ffefd6", "#5c3100", "#3d2000", "#ffb450"),
        "quiet": Tone("#f2e3c2", "#14110b", "#2e281b", "#a89a7c"),
    },
)
LIGHTS: Mapping[str, Light] = {"sun": SUN, "dusk": DUSK}

#: the colours that are worn now
INK, PAPER, QUIET_EDGE, TONES = SUN.ink, SUN.paper, SUN.quiet_edge, SUN.tones


def wear(name: str) -> None:
    """Dress for a light: every screen that is made from now on looks so, since its .kv reads the colours then."""
    global INK, PAPER, QUIET_EDGE, TONES
    light = LIGHTS[name]
    INK, PAPER, QUIET_EDGE, TONES = light.ink, light.paper, light.quiet_edge, light.tones


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

    ground = ColorProperty()


class Column(BoxLayout):
    """Goes from top to bottom and is as high as what is in it: the content of a list that scrolls."""


class Pressable(ButtonBehavior, BoxLayout):
    """Something to touch: at least `least` high, and higher when its words need it."""

    tone = OptionProperty("plain", options=list(SUN.tones))
    least = NumericProperty(TARGET)
    rim = NumericProperty(RIM)
    ink = ColorProperty()
    edge = ColorProperty()
    face = ColorProperty()

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
    tone = OptionProperty("plain", options=list(SUN.tones))


class NumberEntry(BoxLayout):
    """A number between − and +, set with gloves: a tap is one step, holding goes on, and after a while in tens.

    `value` is None until it is set; the first tap then gives `start`. `says` tells it in other words than digits.
    """

    text = StringProperty()
    unit = StringProperty()
    value = NumericProperty(None, allownone=True)
    start = NumericProperty(0)
    step = NumericProperty(1)
    lowest = NumericProperty(0)
    highest = NumericProperty(999_999)
    decimals = NumericProperty(0)
    says = ObjectProperty(None, allownone=True)
    point = StringProperty(".")
    shown = StringProperty("–")

    first_wait_s: ClassVar[float] = 0.5
    wait_s: ClassVar[float] = 0.12
    ones: ClassVar[int] = 10
    _holding: Any = None
    _steps = 0

    def on_kv_post(self, _base: object) -> None:
        """Show the number, and again whenever it changes."""
        for name in ("value", "unit", "decimals", "point", "says"):
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
        if self.says is not None and self.value is not None:
            self.shown = self.says(self.value)
            return
        number = "–" if self.value is None else f"{self.value:.{self.decimals}f}"
        number = number.replace("-", "−").replace(".", self.point)
        self.shown = f"{number} {self.unit}".strip()
