"""The probe drives a running app as a person does: it finds, looks, taps and waits.

It knows Kivy so that the tests need not. Touches go in through the window, so a covered or off-screen button fails.
Time passes only by running the app's own loop, frame by frame.
"""

from __future__ import annotations

import contextlib
import math
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from kivy.base import EventLoop
from kivy.metrics import Metrics
from kivy.tests import UnitTestTouch
from kivy.uix.behaviors import ButtonBehavior
from kivy.uix.scrollview import ScrollView

from tests.screens.harness import measure, rules
from tests.screens.harness.window import SMALL, Glass, nothing_left, window_behind

SETTLE_FRAMES = 120
WAIT_S = 5.0
ANSWER_S = 1.0  # a list takes a touch for a swipe first, and passes it on after a moment
LONG_PRESS_S = 0.7
SWIPES = 40
SWIPE_FRAMES = 6
#: a finger rests before it lets go: a list flies on as it moved in the last sixth of a second
HOLD_S = 0.25

Finder = str | Any  # an id, a visible text, or the widget itself


@contextlib.contextmanager
def running(make_app: Callable[[], Any], glass: Glass = SMALL) -> Iterator[Probe]:
    """Run an app behind a glass, and leave nothing of it behind."""
    window = window_behind(glass)
    with nothing_left(window):
        app = make_app()
        app._run_prepare()
        probe = Probe(app, window)
        probe.settle()
        try:
            yield probe
        finally:
            app.dispatch("on_stop")


class Probe:
    """One running app, seen and touched from outside."""

    def __init__(self, app: Any, window: Any) -> None:
        self.app = app
        self.window = window

    # time

    def frame(self) -> None:
        """Let the app run for one frame."""
        EventLoop.idle()

    def settle(self) -> None:
        """Run frames until the app has nothing more to lay out or draw, or goes on moving by itself."""
        for _ in range(3):
            self.frame()
        for _ in range(SETTLE_FRAMES):
            if not self.window.canvas.needs_redraw:
                return
            self.frame()

    def wait_until(self, done: Callable[[], object], sentence: str, timeout: float = WAIT_S) -> None:
        """Run the app until `done()` is true; `sentence` says what should have become so."""
        deadline = time.monotonic() + timeout
        while not done():
            if time.monotonic() > deadline:
                raise AssertionError(f"After {timeout:g} s it is not so that {sentence}. On the screen: {self.texts()}")
            self.frame()

    def run_for(self, seconds: float) -> int:
        """Let time pass in the running app; answers how many frames were drawn meanwhile."""
        drawn = 0

        def count(*_: object) -> None:
            nonlocal drawn
            drawn += 1

        end = time.monotonic() + seconds
        uid = self.window.fbind("on_flip", count)
        self.wait_until(lambda: time.monotonic() >= end, "the time has passed", seconds + WAIT_S)
        self.window.unbind_uid("on_flip", uid)
        return drawn

    # looking

    def screen(self) -> list[measure.Seen]:
        """Every visible widget, from the back to the front."""
        return measure.everything(self.window)

    def targets(self) -> list[measure.Target]:
        """Every place to touch that is on the screen, with its size in mm and its box in dp."""
        return measure.targets(self.screen())

    def labels(self) -> list[measure.Label]:
        """Every text on the screen with its size in sp, its colours, its contrast and whether it is cut."""
        return measure.labels(self.screen(), measure.Pixels(self.window))

    def texts(self) -> list[str]:
        """What is written on the screen, in reading order."""
        spoken = [(seen, measure.words(seen.widget)) for seen in self.screen()]
        written = [(-seen.whole.top, seen.whole.left, words) for seen, words in spoken if words]
        return [words for *_, words in sorted(written)]

    def shows(self, text: str) -> bool:
        """Whether a piece of text is somewhere on the screen."""
        return any(text in written for written in self.texts())

    def faults(self, *, target_mm: float = rules.TARGET_MM) -> list[str]:
        """Every rule of size, gap, text and contrast that the screen breaks; empty is good."""
        self.settle()
        beyond = [f"{name} lies beyond the edge of the glass" for name in measure.beyond_the_glass(self.window)]
        return beyond + rules.faults(self.screen(), measure.Pixels(self.window), target_mm=target_mm)

    def picture(self, path: Path) -> Path:
        """Save what the screen shows as a PNG, for people to look at."""
        from kivy.graphics.opengl import GL_RGB, GL_UNSIGNED_BYTE, glReadPixels  # noqa: PLC0415 - needs the window

        self.settle()
        path.parent.mkdir(parents=True, exist_ok=True)
        self.window.dispatch("on_draw")
        width, height = self.window.size
        dots = glReadPixels(0, 0, width, height, GL_RGB, GL_UNSIGNED_BYTE)
        self.window._win.save_bytes_in_png(str(path), dots, width, height)
        return path

    # finding

    def find(self, what: Finder) -> Any:
        """The widget with this id, or the one to touch (else to read) with this text. A widget finds itself."""
        if not isinstance(what, str):
            return what
        found = self._by_id(what) or self._by_text(what)
        on_screen = {id(seen.widget) for seen in self.screen()}
        shown = [widget for widget in found if id(widget) in on_screen] or found
        if not shown:
            raise AssertionError(f"There is no {what!r}. On the screen: {self.texts()}")
        if len(shown) > 1:
            raise AssertionError(f"There are {len(shown)} of {what!r}: give the widget itself")
        return shown[0]

    def _all(self) -> list[Any]:
        return [widget for layer in self.window.children for widget in layer.walk()]

    def _by_id(self, name: str) -> list[Any]:
        holders = (widget.ids[name] for widget in self._all() if name in widget.ids)
        return list({id(one): one for one in (getattr(proxy, "__self__", proxy) for proxy in holders)}.values())

    def _by_text(self, text: str) -> list[Any]:
        saying = [widget for widget in self._all() if measure.words(widget) == text]
        touched = [next((up for up in _upward(widget) if measure.takes_touch(up)), None) for widget in saying]
        return list({id(one): one for one in touched if one is not None}.values()) or saying

    # touching

    def tap(self, what: Finder) -> None:
        """Touch a widget in the middle of its visible part and let go."""
        with self.holding(what):
            self.frame()

    def long_press(self, what: Finder, seconds: float = LONG_PRESS_S) -> None:
        """Touch a widget, stay on it, and let go."""
        with self.holding(what):
            self.run_for(seconds)

    @contextlib.contextmanager
    def holding(self, what: Finder, *, let_go_at: tuple[float, float] | None = None) -> Iterator[None]:
        """A finger on a widget while the block runs; it may let go elsewhere (a place in dp)."""
        seen = self._ready(what)
        x, y = seen.visible.centre
        heard = _Heard(seen.widget)
        touch = UnitTestTouch(x, y)
        touch.touch_down()
        self.frame()
        yield
        if let_go_at is not None:
            touch.touch_move(let_go_at[0] * Metrics.dp, let_go_at[1] * Metrics.dp)
        touch.touch_up()
        try:
            self.wait_until(lambda: heard.it, "the touch arrived", ANSWER_S)
        except AssertionError:
            taker = self._taker(touch, seen, x, y)
            place = f"({x / Metrics.dp:.0f}, {y / Metrics.dp:.0f}) dp"
            raise AssertionError(f"{seen.name} is covered: the touch at {place} went to {taker}") from None
        finally:
            heard.no_more()
        self.settle()

    def _ready(self, what: Finder) -> measure.Seen:
        self.settle()
        widget = self.find(what)
        for seen in self.screen():
            if seen.widget is widget:
                if widget.disabled:
                    raise AssertionError(f"{seen.name} is disabled")
                return seen
        name = what if isinstance(what, str) else measure._name(widget, {})
        raise AssertionError(f"{name} is not on the screen ({self._whereabouts(widget)}). There is: {self.texts()}")

    def _whereabouts(self, widget: Any) -> str:
        if widget.get_root_window() is None:
            return "it is not part of the window"
        if any(up.opacity < measure.FAINT for up in _upward(widget)):
            return "it is transparent"
        x, y = widget.to_window(*widget.center)
        width, height = (side / Metrics.dp for side in self.window.size)
        middle = f"({x / Metrics.dp:.0f}, {y / Metrics.dp:.0f})"
        return f"its middle is at {middle} dp of {width:.0f} × {height:.0f}, or something modal is open"

    def _taker(self, touch: Any, aim: measure.Seen, x: float, y: float) -> str:
        grabbed = [held for held in (weak() for weak in touch.grab_list) if held is not None]
        screen = self.screen()
        by_grab = [seen.name for seen in screen if seen.widget in grabbed]
        at = [seen for seen in screen if seen.visible.holds(x, y) and seen.widget is not aim.widget]
        in_front = [seen.name for seen in at if not seen.holds(aim) and measure.takes_touch(seen.widget)]
        anything = [seen.name for seen in at if not seen.holds(aim)]
        return next(iter([*reversed(by_grab), *reversed(in_front), *reversed(anything)]), "nothing that can be seen")

    def scroll_to(self, what: Finder) -> None:
        """Swipe the list that holds a widget until the widget is whole on the screen."""
        widget = self.find(what)
        area = next((up for up in _upward(widget) if isinstance(up, ScrollView)), None)
        if area is None:
            raise AssertionError(f"{what} is in no list that could be scrolled")
        for _ in range(SWIPES):
            place = {id(seen.widget): seen for seen in self.screen()}
            seen = place.get(id(widget))
            if seen is not None and seen.whole.within(seen.visible):
                return
            away = area.to_window(*area.center)[1] - widget.to_window(*widget.center)[1]
            self._swipe(area, place[id(area)].visible, away)
            self._let_rest(area)
        raise AssertionError(f"{what} did not come into view after {SWIPES} swipes")

    def _swipe(self, area: ScrollView, seen: measure.Box, away: float) -> None:
        """Move the list by `away` pixels, or as far as its visible part and its end allow: beyond that it springs back.

        The first step is longer than a list takes for a tap, however long the frame after it lasts.
        """
        beyond = max(0.0, area.viewport_size[1] - area.height)
        left = beyond * (area.scroll_y if away > 0 else 1 - area.scroll_y)
        least = area.scroll_distance + 1
        way = max(least, min(abs(away), left, seen.height * 0.7))
        (x, y), up = seen.centre, math.copysign(1, away)
        touch = UnitTestTouch(x, y - up * way / 2)
        touch.touch_down()
        for step in range(1, SWIPE_FRAMES + 1):
            touch.touch_move(x, y + up * (max(least, way * step / SWIPE_FRAMES) - way / 2))
            self.frame()
        self.run_for(HOLD_S)
        touch.touch_up()
        self.settle()

    def _let_rest(self, area: ScrollView) -> None:
        """Wait until a list stands still that was pulled beyond its end, or flies on."""
        place = math.nan
        while place != area.scroll_y:
            place = area.scroll_y
            self.run_for(0.05)

    def type(self, text: str) -> None:
        """Type on the keyboard into the entry that has the focus."""
        for letter in text:
            self.window.dispatch("on_textinput", letter)
        self.settle()

    def press_key(self, code: int, text: str = "") -> None:
        """Press and release a hardware key, by its Kivy key code."""
        self.window.dispatch("on_key_down", code, 0, text, [])
        self.window.dispatch("on_key_up", code, 0)
        self.settle()


def _upward(widget: Any) -> Iterator[Any]:
    """A widget and what it is inside of, up to the window."""
    while widget is not None and widget.parent is not widget and hasattr(widget, "opacity"):
        yield widget
        widget = widget.parent


class _Heard:
    """Listens whether a touch reached a widget: a button when it acts, anything else when it is touched."""

    def __init__(self, widget: Any) -> None:
        self.it = False
        self._widget = widget
        self._event = "on_release" if isinstance(widget, ButtonBehavior) else "on_touch_down"
        self._uid = widget.fbind(self._event, self._hear)

    def _hear(self, widget: Any, touch: Any = None) -> None:
        if touch is None or widget.collide_point(*touch.pos):
            self.it = True

    def no_more(self) -> None:
        self._widget.unbind_uid(self._event, self._uid)
