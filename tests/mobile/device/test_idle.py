"""The clock of the app, slow while nobody touches the screen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import pytest

from mobile.device.idle import LOOKS_A_SECOND, LOOKS_WHEN_STILL, SIGNS_OF_LIFE, STILL_AFTER_S, IdleThrottle


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
        assert after_s == STILL_AFTER_S
        self.laters.append(Later(step))
        return self.laters[-1]

    def pause(self) -> None:
        """Nobody touches anything for long."""
        for later in self.laters:
            if later.waits:
                later.waits = False
                later.step(0.0)

    @property
    def looks(self) -> int:
        return self._max_fps


@dataclass
class Window:
    """What tells of touches."""

    heard: dict[str, Callable[..., object]] = field(default_factory=dict)

    def fbind(self, name: str, handler: Callable[..., object]) -> None:
        self.heard[name] = handler


@pytest.fixture
def clock() -> HandClock:
    return HandClock()


def test_an_untouched_screen_is_looked_at_seldom(clock: HandClock) -> None:
    IdleThrottle(clock, Window())
    fresh = clock.looks

    clock.pause()

    assert (fresh, clock.looks) == (LOOKS_A_SECOND, LOOKS_WHEN_STILL)


@pytest.mark.parametrize("sign", SIGNS_OF_LIFE)
def test_the_first_touch_or_key_hurries_it_and_is_left_to_the_screen(clock: HandClock, sign: str) -> None:
    window = Window()
    IdleThrottle(clock, window)
    clock.pause()

    taken = window.heard[sign](window, object())

    assert not taken
    assert clock.looks == LOOKS_A_SECOND
    clock.pause()
    assert clock.looks == LOOKS_WHEN_STILL
