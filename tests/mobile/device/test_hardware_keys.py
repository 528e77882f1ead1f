"""Short and long presses of the keys beside the glass."""

from collections.abc import Callable
from dataclasses import dataclass, field

import pytest

from mobile.device.hardware_keys.presses import LONG_PRESS_S, KeyPresses

UP, DOWN = 0x40000080, 0x40000081


@dataclass
class Later:
    """A step that waits for its time."""

    step: Callable[..., None]
    at: float
    waits: bool = True

    def cancel(self) -> None:
        self.waits = False


@dataclass
class Hand:
    """A hand on the keys, and a clock that is set by hand."""

    now: float = 0.0
    done: list[str] = field(default_factory=list)
    steps: list[Later] = field(default_factory=list)
    keys: KeyPresses = field(init=False)

    def __post_init__(self) -> None:
        self.keys = KeyPresses(self.after)

    def after(self, step: Callable[..., None], seconds: float) -> Later:
        self.steps.append(Later(step, self.now + seconds))
        return self.steps[-1]

    def wait(self, seconds: float) -> None:
        self.now += seconds
        for later in self.steps:
            if later.waits and later.at <= self.now:
                later.waits = False
                later.step(seconds)

    def down(self, key: int = UP, *, long: bool = True) -> None:
        self.keys.down(key, lambda: self.done.append("row"), (lambda: self.done.append("miss")) if long else None)


@pytest.fixture
def hand() -> Hand:
    return Hand()


def test_a_short_press_counts_as_soon_as_the_key_is_up(hand: Hand) -> None:
    hand.down()
    before = list(hand.done)
    hand.wait(0.1)
    hand.keys.up(UP)

    assert (before, hand.done) == ([], ["row"])


def test_a_long_press_counts_while_the_key_is_down_and_no_more_when_it_comes_up(hand: Hand) -> None:
    hand.down()
    hand.wait(LONG_PRESS_S - 0.01)
    before = list(hand.done)
    hand.wait(0.01)
    felt = list(hand.done)
    hand.wait(3)
    hand.keys.up(UP)

    assert (before, felt, hand.done) == ([], ["miss"], ["miss"])


def test_a_held_key_repeats_and_counts_once(hand: Hand) -> None:
    for _ in range(40):
        hand.down()
        hand.wait(0.05)
    hand.keys.up(UP)

    assert hand.done == ["miss"]


def test_where_a_long_press_means_nothing_it_is_a_press(hand: Hand) -> None:
    hand.down(long=False)
    hand.wait(3)
    hand.keys.up(UP)

    assert hand.done == ["row"]


def test_two_keys_are_two_presses(hand: Hand) -> None:
    hand.down(UP)
    hand.down(DOWN)
    hand.keys.up(UP)
    hand.wait(LONG_PRESS_S)
    hand.keys.up(DOWN)

    assert hand.done == ["row", "miss"]


def test_a_key_that_comes_up_without_having_gone_down_is_no_press(hand: Hand) -> None:
    hand.keys.up(UP)

    assert hand.done == []


def test_a_press_for_a_screen_that_is_gone_does_nothing_however_long_it_is_held(hand: Hand) -> None:
    hand.down()
    hand.keys.disarm()
    for _ in range(20):
        hand.wait(0.05)
        hand.down()
    hand.keys.up(UP)
    hand.down()
    hand.keys.up(UP)

    assert hand.done == ["row"]


def test_a_key_press_interrupted_by_a_call_is_dropped_and_the_key_works_after(hand: Hand) -> None:
    """The key comes up while the app hears nothing."""
    hand.down()
    hand.keys.reset()
    hand.wait(2)
    hand.down()
    hand.wait(0.1)
    hand.keys.up(UP)

    assert hand.done == ["row"]
