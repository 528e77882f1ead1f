"""Colors and basic widgets: large enough for gloves, dark on pale for the sun, pale on dark for dusk.

Sizes are in millimeters and sp, as text ("15mm"), so that they follow the display and the person's text size. Color
never carries meaning alone: a word or a sign goes with it. Importing this opens no window; `load_kv` reads the .kv.
"""
# mypy: disallow-subclassing-any=False
# (Kivy ships no types)

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
from typing_extensions import override

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
LONG_COUNT = 4  # characters from which on a count is written smaller
SCREENS = Path(__file__).parent.parent
SIGNS = "data/fonts/DejaVuSans.ttf"  # comes with Kivy and has the signs that its text font lacks


@dataclass(frozen=True, slots=True)
class Tone:
    """Colors of a widget: text, ground, ground while pressed, edge."""

    ink: str
    ground: str
    pressed: str
    edge: str


@dataclass(frozen=True, slots=True)
class Light:
    """Colors for one kind of light: text, page, the edge of what matters less, and the tones."""

    ink: str
    paper: str
    quiet_edge: str
    tones: Mapping[str, Tone]


#: dark text on pale ground, for the sun
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
#: warm light text on dark ground, for eyes that have to see the bed again when they look up
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

#: the colors in use
INK, PAPER, QUIET_EDGE, TONES = SUN.ink, SUN.paper, SUN.quiet_edge, SUN.tones


def use_light(name: str) -> None:
    """Color every screen made from now on for this light; its .kv reads the colors when it is made."""
    global INK, PAPER, QUIET_EDGE, TONES
    light = LIGHTS[name]
    INK, PAPER, QUIET_EDGE, TONES = light.ink, light.paper, light.quiet_edge, light.tones


def load_kv(*layouts: str) -> None:
    """Load .kv files, named as in "base/theme", once in a process."""
    for layout in layouts:
        kv = str(SCREENS / f"{layout}.kv")
        if kv not in Builder.files:
            Builder.load_file(kv, encoding="utf-8")


class Words(Label):
    """Text that wraps to its width and asks for the height it needs, inside a layout."""


class Body(Words):
    """A paragraph: takes the width it gets and grows downwards."""


class Heading(Body):
    """The heading of a page or a part of it."""


class Sign(Label):
    """A single sign, as wide as it is."""


class Page(BoxLayout):
    """The ground of a whole screen, with a margin; its children go from top to bottom."""

    ground = ColorProperty()


class Column(BoxLayout):
    """The content of a scrolling list: from top to bottom, as high as its children."""


class Pressable(ButtonBehavior, BoxLayout):
    """A button: at least `least` high, and higher when its text needs it."""

    tone = OptionProperty("plain", options=list(SUN.tones))
    least = NumericProperty(TARGET)
    rim = NumericProperty(RIM)
    ink = ColorProperty()
    edge = ColorProperty()
    face = ColorProperty()

    color_properties: ClassVar[tuple[str, ...]] = ("tone", "state", "disabled")
    height_properties: ClassVar[tuple[str, ...]] = ("least", "minimum_height", "size_hint_y")

    def __init__(self, **settings: Any) -> None:
        super().__init__(**settings)
        for name in self.color_properties:
            self.fbind(name, self._set_colors)
        for name in self.height_properties:
            self.fbind(name, self._set_height)
        self._set_colors()
        self._set_height()

    def _set_colors(self, *_: object) -> None:
        tone = TONES["quiet" if self.disabled else self.tone]
        self.ink, self.edge = tone.ink, tone.edge
        self.face = tone.pressed if self.state == "down" else tone.ground

    def _set_height(self, *_: object) -> None:
        needed = max(self.least, self.minimum_height)
        self.size_hint_min_y = needed
        if self.size_hint_y is None:
            self.height = needed


class BigButton(Pressable):
    """A button with text and, before it, a sign."""

    text = StringProperty()
    sign = StringProperty()
    font_size = NumericProperty(BUTTON)


class Tile(Pressable):
    """A button that shows a count large, with its name and a sign above."""

    text = StringProperty()
    sign = StringProperty()
    count = StringProperty()


class Choice(Pressable):
    """A choice in a list, with a sign before it. Chosen, it has a tick for a sign and a thick edge."""

    text = StringProperty()
    detail = StringProperty()
    sign = StringProperty("○")
    font_size = NumericProperty(TEXT)
    chosen = BooleanProperty(defaultvalue=False)


class Strip(BoxLayout):
    """The status line on top, not to touch; without text it takes no space."""

    text = StringProperty()
    sign = StringProperty()
    tone = OptionProperty("plain", options=list(SUN.tones))


class NumberEntry(BoxLayout):
    """A number between − and +, set with gloves: a tap is one step, holding goes on, and after a while in tens.

    `value` is None until it is set; the first tap then gives `start`. `to_text` formats it as other than digits.
    """

    text = StringProperty()
    unit = StringProperty()
    value = NumericProperty(None, allownone=True)
    start = NumericProperty(0)
    step = NumericProperty(1)
    lowest = NumericProperty(0)
    highest = NumericProperty(999_999)
    decimals = NumericProperty(0)
    to_text = ObjectProperty(None, allownone=True)
    point = StringProperty(".")
    shown = StringProperty("–")

    first_wait_s: ClassVar[float] = 0.5
    wait_s: ClassVar[float] = 0.12
    ones: ClassVar[int] = 10
    _holding: Any = None
    _steps = 0

    @override
    def on_kv_post(self, _base: object) -> None:
        for name in ("value", "unit", "decimals", "point", "to_text"):
            self.fbind(name, self._show)
        self._show()

    def hold(self, direction: int) -> None:
        self.release()
        self._steps = 0
        self._do_step(direction)
        self._holding = Clock.schedule_once(lambda _: self._repeat(direction), self.first_wait_s)

    def release(self) -> None:
        if self._holding is not None:
            self._holding.cancel()

    def _repeat(self, direction: int) -> None:
        self._do_step(direction)
        self._holding = Clock.schedule_once(lambda _: self._repeat(direction), self.wait_s)

    def _do_step(self, direction: int) -> None:
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
        if self.to_text is not None and self.value is not None:
            self.shown = self.to_text(self.value)
            return
        number = "–" if self.value is None else f"{self.value:.{self.decimals}f}"
        number = number.replace("-", "−").replace(".", self.point)
        self.shown = f"{number} {self.unit}".strip()
