"""The row with its touches locked, without a window."""

import pytest

from mobile.device.haptics.protocol import Haptic
from mobile.presenters.row.locked import UPPER_WITHIN_S, LockedPresenter
from mobile.presenters.row.row_settings import RowSettingsPresenter
from tests.mobile.conftest import Crew
from tests.mobile.support.quiet_phone import QuietContext


@pytest.fixture
def locked(context: QuietContext, crew: Crew) -> LockedPresenter:
    presenter = LockedPresenter(context, crew.planting)
    crew.wait(3)
    return presenter


def unlock(locked: LockedPresenter) -> None:
    locked.attempt(locked.hold_lower)
    locked.attempt(locked.hold_upper)


def test_the_keys_go_on_working(locked: LockedPresenter, context: QuietContext, crew: Crew) -> None:
    locked.attempt(locked.row_key())
    crew.wait(100)
    locked.attempt(locked.long_key())
    seen = (locked.view.title, locked.view.state, locked.view.counts)
    locked.attempt(locked.row_key())

    assert context.haptics == [Haptic.START, Haptic.MISS, Haptic.END]
    assert seen == ("Row 1 of 5", "open 1:40", "miss: 1")
    assert context.navigator.went == []


def test_the_screen_stays_on_between_rows_too(locked: LockedPresenter, context: QuietContext) -> None:
    assert locked.view.state == "not started"
    assert context.screen.on


def test_two_places_held_one_after_the_other_lead_back_to_the_row(
    locked: LockedPresenter, context: QuietContext
) -> None:
    before = (locked.view.lower, locked.view.upper, locked.view.first_held)
    locked.attempt(locked.hold_lower)
    half = (locked.view.lower, locked.view.upper, locked.view.first_held)
    locked.attempt(locked.hold_upper)

    assert before == ("1. To unlock, hold here", "2. Then hold here", False)
    assert half == ("1. Held", "2. Now hold here", True)
    assert context.navigator.last == "back"


def test_the_upper_place_alone_is_refused(locked: LockedPresenter, context: QuietContext) -> None:
    locked.attempt(locked.hold_upper)

    assert context.navigator.went == []
    assert context.haptics == [Haptic.REFUSAL]


def test_the_second_place_has_to_follow_soon(locked: LockedPresenter, context: QuietContext, crew: Crew) -> None:
    """What rubs on the glass all morning touches both places some time."""
    locked.attempt(locked.hold_lower)
    ticks = locked.ticks
    crew.wait(UPPER_WITHIN_S)
    closed_again = not locked.view.first_held
    locked.attempt(locked.hold_upper)

    assert ticks
    assert closed_again
    assert context.navigator.went == []


def test_the_back_key_leads_nowhere(locked: LockedPresenter, context: QuietContext) -> None:
    assert locked.step_back()
    assert context.navigator.went == []


def test_the_end_of_the_bed_keeps_it_locked_and_unlocking_shows_the_summary(context: QuietContext, crew: Crew) -> None:
    for _ in range(4):
        crew.notebook.start_row(crew.planting)
        crew.notebook.end_row(crew.planting)
    crew.notebook.start_row(crew.planting)
    crew.wait(60)
    locked = LockedPresenter(context, crew.planting)

    locked.attempt(locked.press)
    crew.wait(60)
    locked.attempt(locked.press)
    stayed = (locked.view.title, list(context.navigator.went))
    unlock(locked)

    assert context.haptics == [Haptic.END, Haptic.REFUSAL]
    assert stayed == ("All 5 rows planted", [])
    assert [place for place, _ in context.navigator.went] == ["back", "summary"]


def test_locking_keeps_what_was_set_for_the_row(context: QuietContext, crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    aside = RowSettingsPresenter(context, crew.planting)
    aside.set_notch(4)

    aside.attempt(aside.lock)

    assert crew.state.open is not None
    assert crew.state.open.depth_notch == 4
    assert context.navigator.went == [("locked", {"planting": crew.planting})]
