"""The clock of the app, slow while nobody touches the screen."""

from collections.abc import Callable
from dataclasses import dataclass, field

import pytest

from mobile.device.idle import ACTIVE_FPS, IDLE_AFTER_S, IDLE_FPS, INPUT_EVENTS, IdleThrottle


@dataclass
class Later:
    """Something that a clock does when its time has come."""

    step: Callable[[float], None]
    waits: bool = False

    def __call__(self) -> None:
        self.waits = True

    def cancel(self) -> None:
        self.waits = False


@dataclass
class HandClock:
    """Kivy's clock, as far as it is used, set by hand."""

    _max_fps: int = 0
    laters: list[Later] = field(default_factory=list)

    def create_trigger(self, step: Callable[[float], None], after_s: float) -> Later:
        assert after_s == IDLE_AFTER_S
        self.laters.append(Later(step))
        return self.laters[-1]

    def pause(self) -> None:
        for later in self.laters:
            if later.waits:
                later.waits = False
                later.step(0.0)

    @property
    def fps(self) -> int:
        return self._max_fps


@dataclass
class Window:
    """Kivy's window, as far as it is used."""

    handlers: dict[str, Callable[..., object]] = field(default_factory=dict)

    def fbind(self, name: str, handler: Callable[..., object]) -> None:
        self.handlers[name] = handler


@pytest.fixture
def clock() -> HandClock:
    return HandClock()


def test_an_untouched_screen_runs_at_few_frames(clock: HandClock) -> None:
    IdleThrottle(clock, Window())
    fresh = clock.fps

    clock.pause()

    assert (fresh, clock.fps) == (ACTIVE_FPS, IDLE_FPS)


@pytest.mark.parametrize("event", INPUT_EVENTS)
def test_the_first_touch_or_key_hurries_it_and_is_left_to_the_screen(clock: HandClock, event: str) -> None:
    window = Window()
    IdleThrottle(clock, window)
    clock.pause()

    taken = window.handlers[event](window, object())

    assert not taken
    assert clock.fps == ACTIVE_FPS
    clock.pause()
    assert clock.fps == IDLE_FPS
