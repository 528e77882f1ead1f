"""What a person can see and touch on a screen, measured in the person's units.

Everything is a value here except for one reading of the window's pixels, which tells the ground under a text.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from kivy.metrics import Metrics
from kivy.uix.behaviors import ButtonBehavior, FocusBehavior
from kivy.uix.modalview import ModalView
from kivy.uix.slider import Slider
from kivy.uix.stencilview import StencilView
from kivy.uix.switch import Switch

Colour = tuple[float, float, float]

#: Pixels are whole and millimeters are not.
SLACK_PX = 1.0
FAINT = 0.05


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle of the window, in pixels from its lower left corner."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        return max(0.0, self.right - self.left)

    @property
    def height(self) -> float:
        return max(0.0, self.top - self.bottom)

    @property
    def centre(self) -> tuple[float, float]:
        return (self.left + self.right) / 2, (self.bottom + self.top) / 2

    def within(self, other: Box) -> bool:
        return self.cut_to(other).shrunk_by(self) <= SLACK_PX

    def shrunk_by(self, whole: Box) -> float:
        """How many pixels this part lacks of the whole, in the worse direction."""
        return max(whole.width - self.width, whole.height - self.height)

    def cut_to(self, other: Box) -> Box:
        return Box(
            max(self.left, other.left),
            max(self.bottom, other.bottom),
            min(self.right, other.right),
            min(self.top, other.top),
        )

    def gap_to(self, other: Box) -> float:
        across = max(self.left - other.right, other.left - self.right, 0.0)
        along = max(self.bottom - other.top, other.bottom - self.top, 0.0)
        return float((across**2 + along**2) ** 0.5)

    def overlaps(self, other: Box) -> bool:
        shared = self.cut_to(other)
        return shared.width > SLACK_PX and shared.height > SLACK_PX

    def holds(self, x: float, y: float) -> bool:
        return self.left <= x <= self.right and self.bottom <= y <= self.top


@dataclass(frozen=True, slots=True)
class Seen:
    """A widget on the screen: all of it, the part that is visible, and what it is inside of."""

    widget: Any
    name: str
    whole: Box
    visible: Box
    inside: tuple[Any, ...]
    scrolls: bool
    opacity: float

    def holds(self, other: Seen) -> bool:
        return self.widget in other.inside


@dataclass(frozen=True, slots=True)
class Target:
    """A place to touch."""

    seen: Seen
    disabled: bool

    @property
    def name(self) -> str:
        return self.seen.name

    @property
    def widget(self) -> Any:
        return self.seen.widget

    @property
    def width_mm(self) -> float:
        return self.seen.whole.width / float(Metrics.mm)

    @property
    def height_mm(self) -> float:
        return self.seen.whole.height / float(Metrics.mm)

    @property
    def box_dp(self) -> Box:
        """The visible part in dp from the lower left corner of the window."""
        box, dp = self.seen.visible, float(Metrics.dp)
        return Box(box.left / dp, box.bottom / dp, box.right / dp, box.top / dp)


@dataclass(frozen=True, slots=True)
class Label:
    """A text on the screen: where it is drawn, how large, in which colours."""

    seen: Seen
    text: str
    drawn: Box
    size_sp: float
    ink: Colour
    ground: Colour
    cut: str

    @property
    def contrast(self) -> float:
        return contrast(self.ink, self.ground)


def contrast(one: Colour, other: Colour) -> float:
    """Contrast ratio of two sRGB colours (WCAG 2.2, "contrast ratio" and "relative luminance"): 1 to 21."""
    dark, light = sorted((_luminance(one), _luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: Colour) -> float:
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


class Pixels:
    """The window as it is drawn now."""

    def __init__(self, window: Any) -> None:
        from kivy.graphics.opengl import GL_RGBA, GL_UNSIGNED_BYTE, glReadPixels  # noqa: PLC0415 - needs the window

        self.width, self.height = (int(side) for side in window.size)
        window.dispatch("on_draw")
        read = glReadPixels(0, 0, self.width, self.height, GL_RGBA, GL_UNSIGNED_BYTE)
        self._dots = memoryview(read).cast("I")

    def ground(self, text: Box, visible: Box) -> Colour:
        """What a text stands on: the most frequent colour along the edge of its box, where letters seldom reach."""
        left, right = max(0, int(visible.left)), min(self.width, int(visible.right))
        bottom, top = max(0, int(visible.bottom)), min(self.height, int(visible.top))
        dots: Counter[int] = Counter()
        for line in {bottom, top - 1} & {int(text.bottom), int(text.top) - 1}:
            dots.update(self._dots[line * self.width + left : line * self.width + right])
        for column in {left, right - 1} & {int(text.left), int(text.right) - 1}:
            dots.update(self._dots[bottom * self.width + column : top * self.width : self.width])
        red, green, blue, _ = dots.most_common(1)[0][0].to_bytes(4, "little") if dots else bytes(4)
        return red / 255, green / 255, blue / 255


def everything(window: Any) -> list[Seen]:
    """All visible widgets, from the back to the front. Behind an open dialog nothing counts."""
    names = _ids(window)
    glass = Box(0, 0, *(float(side) for side in window.size))
    layers = list(window.children)
    dialogs = [place for place, layer in enumerate(layers) if isinstance(layer, ModalView)]
    reachable = layers[: dialogs[0] + 1] if dialogs else layers
    return [seen for layer in reversed(reachable) for seen in _walk(layer, glass, (), 1.0, names)]


def _walk(widget: Any, clip: Box, inside: tuple[Any, ...], opacity: float, names: dict[int, str]) -> Iterator[Seen]:
    opacity *= widget.opacity
    if opacity < FAINT:
        return
    whole = Box(*widget.to_window(*widget.pos), *widget.to_window(widget.right, widget.top))
    visible = whole.cut_to(clip)
    if whole.width and whole.height and visible.width and visible.height:
        scrolls = any(isinstance(outer, StencilView) for outer in inside)
        yield Seen(widget, _name(widget, names), whole, visible, inside, scrolls, opacity)
    if isinstance(widget, StencilView):
        clip = visible
    for child in reversed(widget.children):
        yield from _walk(child, clip, (*inside, widget), opacity, names)


def beyond_the_glass(window: Any) -> list[str]:
    """Texts that lie wholly beyond the edge of the glass, where no scrolling brings them back."""
    names, glass = _ids(window), Box(0, 0, *(float(side) for side in window.size))
    return [name for layer in window.children for name in _beyond(layer, glass, names)]


def _beyond(widget: Any, glass: Box, names: dict[int, str]) -> Iterator[str]:
    if widget.opacity < FAINT or isinstance(widget, StencilView):
        return
    whole = Box(*widget.to_window(*widget.pos), *widget.to_window(widget.right, widget.top))
    if whole.width and whole.height and words(widget) and not whole.overlaps(glass):
        yield _name(widget, names)
    for child in widget.children:
        yield from _beyond(child, glass, names)


def _ids(window: Any) -> dict[int, str]:
    return {
        id(getattr(proxy, "__self__", proxy)): name
        for layer in window.children
        for widget in layer.walk()
        for name, proxy in widget.ids.items()
    }


def _name(widget: Any, names: dict[int, str]) -> str:
    if id(widget) in names:
        return names[id(widget)]
    text = getattr(widget, "text", "")
    kind = type(widget).__name__
    return f"{kind} “{text}”" if isinstance(text, str) and text else kind


def takes_touch(widget: Any) -> bool:
    """Whether a widget is there to be touched: a button, an entry, or one of our own that handles touches."""
    if isinstance(widget, (ButtonBehavior, FocusBehavior, Slider, Switch)):
        return True
    maker = next(base for base in type(widget).__mro__ if "on_touch_down" in vars(base))
    return not maker.__module__.startswith("kivy.")


def targets(screen: list[Seen]) -> list[Target]:
    """Every place to touch, from the back to the front."""
    return [Target(seen, bool(seen.widget.disabled)) for seen in screen if takes_touch(seen.widget)]


def labels(screen: list[Seen], pixels: Pixels) -> list[Label]:
    """Every text that is on the screen."""
    return [_label(seen, pixels) for seen in screen if hasattr(seen.widget, "font_size") and _to_read(seen)]


def _to_read(seen: Seen) -> bool:
    """Whether it has text with half a line in view: with less, the ground cannot be measured."""
    shown = _drawn(seen).cut_to(seen.visible)
    return bool(words(seen.widget)) and shown.width > SLACK_PX and shown.height > seen.widget.font_size / 2


def words(widget: Any) -> str:
    """What a widget says, if it is one that shows text."""
    shows = hasattr(widget, "texture_size") or isinstance(widget, FocusBehavior)
    text = getattr(widget, "text", "") if shows else ""
    return text.strip() or getattr(widget, "hint_text", "").strip() if isinstance(text, str) else ""


def _label(seen: Seen, pixels: Pixels) -> Label:
    widget = seen.widget
    drawn = _drawn(seen)
    ground = pixels.ground(drawn, drawn.cut_to(seen.visible))
    red, green, blue, alpha = _ink(widget)
    alpha *= seen.opacity
    ink = tuple(alpha * part + (1 - alpha) * under for part, under in zip((red, green, blue), ground, strict=True))
    size_sp = widget.font_size / float(Metrics.sp)
    return Label(seen, words(widget), drawn, size_sp, (ink[0], ink[1], ink[2]), ground, _cut(seen, drawn))


def _ink(widget: Any) -> tuple[float, float, float, float]:
    if isinstance(widget, FocusBehavior) and hasattr(widget, "foreground_color"):
        name = "foreground_color" if widget.text else "hint_text_color"
    else:
        name = "disabled_color" if widget.disabled else "color"
    red, green, blue, alpha = getattr(widget, name)
    return red, green, blue, alpha


def _drawn(seen: Seen) -> Box:
    """Kivy draws a label's text in the middle of the label, also when it is larger than the label."""
    size = getattr(seen.widget, "texture_size", None)
    if size is None:
        return seen.whole
    x, y = seen.whole.centre
    return Box(x - size[0] / 2, y - size[1] / 2, x + size[0] / 2, y + size[1] / 2)


def _cut(seen: Seen, drawn: Box) -> str:
    """Why a text cannot be read whole; empty when it can."""
    widget = seen.widget
    if not hasattr(widget, "texture_size"):
        return ""
    if getattr(widget, "is_shortened", False):
        return "is shortened"
    if not drawn.within(seen.whole):
        return "is larger than its place"
    outer = next((one for one in reversed(seen.inside) if isinstance(one, ButtonBehavior)), None)
    if outer is not None:
        around = Box(*outer.to_window(*outer.pos), *outer.to_window(outer.right, outer.top))
        if not drawn.within(around):
            return "sticks out of its button"
    return "breaks inside a word" if _breaks_a_word(widget) else ""


def _breaks_a_word(widget: Any) -> bool:
    room = widget.text_size[0]
    if room is None or widget.markup:
        return False
    room -= widget.padding[0] + widget.padding[2]
    return any(widget._label.get_extents(word)[0] > room + SLACK_PX for word in widget.text.split())
