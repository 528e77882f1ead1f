"""The window that stands for a phone's glass: one in a process, of any size, clean for each app.

Everything can be changed in one process, because our sizes are kept as "15mm" and "18sp" and an app is built anew.
"""

import contextlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from kivy.animation import Animation
from kivy.app import App
from kivy.base import EventLoop, runTouchApp
from kivy.clock import Clock
from kivy.config import Config
from kivy.metrics import Metrics

from mobile.screens.base import theme

FRAMES_PER_S = 250  # fast, and still leaves the processor to other threads now and then


@dataclass(frozen=True, slots=True)
class Glass:
    """The glass of a phone: its size in dp, the person's text size, pixels per dp."""

    width_dp: int
    height_dp: int
    font_scale: float = 1.0
    density: float = 1.0

    def __str__(self) -> str:
        return f"{self.width_dp}×{self.height_dp} dp, text ×{self.font_scale:g}"


SMALL = Glass(360, 800)
TALL = Glass(412, 915)
TABLET = Glass(800, 1280)
SMALL_LARGE_TEXT = Glass(360, 800, font_scale=1.5)
GLASSES = [SMALL, SMALL_LARGE_TEXT, TALL, TABLET]

DP_PER_INCH = 160


def window_behind(glass: Glass) -> Any:
    """The one window of this process, as large as the glass."""
    window = _opened()
    Metrics.density = glass.density
    Metrics.dpi = DP_PER_INCH * glass.density
    Metrics.fontscale = glass.font_scale
    window.size = (round(glass.width_dp * glass.density), round(glass.height_dp * glass.density))
    return window


def _opened() -> Any:
    """The window without any input but the probe's."""
    if EventLoop.status != "started":
        Config.remove_section("input")
        Config.add_section("input")
        Config.set("graphics", "multisamples", "0")  # smooth edges cost three quarters of the time without a GPU
        EventLoop.ensure_window()
        runTouchApp(embedded=True)
        Clock._max_fps = FRAMES_PER_S
    return EventLoop.window


@contextlib.contextmanager
def nothing_left(window: Any) -> Iterator[None]:
    """Take away what an app added to the process: widgets, clock events, touches, handlers of the window, colours."""
    events, handlers = set(Clock.get_events()), set(_handlers(window))
    try:
        yield
    finally:
        window.release_all_keyboards()
        for child in window.children[:]:
            window.remove_widget(child)
        for event in set(Clock.get_events()) - events:
            event.cancel()
        for name, handler, uid in set(_handlers(window)) - handlers:
            if uid is None:
                window.unbind(**{name: handler})
            else:
                window.unbind_uid(name, uid)
        Animation._instances.clear()
        EventLoop.me_list.clear()
        App._running_app = None
        theme.use_light("sun")
        EventLoop.idle()


def _handlers(window: Any) -> Iterator[tuple[str, Any, int | None]]:
    for name in {*window.properties(), *window.events()}:
        for handler, _, _, is_weak, uid in window.get_property_observers(name, args=True):
            yield name, handler() if is_weak else handler, uid
