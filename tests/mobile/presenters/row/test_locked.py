"""The row with its touches locked, without a window."""

from __future__ import annotations

import pytest

from mobile.device.haptics import Pulse
from mobile.presenters.row.locked import UPPER_WITHIN_S, LockedPresenter
from mobile.presenters.row.row_settings import DepthCrewPresenter
from tests.mobile.conftest import Crew
from tests.mobile.support.quiet_phone import QuietKit


@pytest.fixture
def locked(kit: QuietKit, crew: Crew) -> LockedPresenter:
    presenter = LockedPresenter(kit, crew.planting)
    crew.wait(3)
    return presenter


def unlock(locked: LockedPresenter) -> None:
    locked.attempt(locked.hold_lower)
    locked.attempt(locked.hold_upper)


def test_the_keys_go_on_working(locked: LockedPresenter, kit: QuietKit, crew: Crew) -> None:
    locked.attempt(locked.row_key())
    crew.wait(100)
    locked.attempt(locked.long_key())
    seen = (locked.view.title, locked.view.state, locked.view.counts)
    locked.attempt(locked.row_key())

    assert kit.felt == [Pulse.START, Pulse.MISS, Pulse.END]
    assert seen == ("Row 1 of 5", "open 1:40", "miss: 1")
    assert kit.ways.went == []


def test_the_screen_stays_on_between_rows_too(locked: LockedPresenter, kit: QuietKit) -> None:
    assert locked.view.state == "not begun"
    assert kit.screen.on


def test_two_places_held_one_after_the_other_lead_back_to_the_row(locked: LockedPresenter, kit: QuietKit) -> None:
    before = (locked.view.lower, locked.view.upper, locked.view.half_open)
    locked.attempt(locked.hold_lower)
    half = (locked.view.lower, locked.view.upper, locked.view.half_open)
    locked.attempt(locked.hold_upper)

    assert before == ("1. To unlock, hold here", "2. Then hold here", False)
    assert half == ("1. Held", "2. Now hold here", True)
    assert kit.ways.last == "back"


def test_the_upper_place_alone_is_refused(locked: LockedPresenter, kit: QuietKit) -> None:
    locked.attempt(locked.hold_upper)

    assert kit.ways.went == []
    assert kit.felt == [Pulse.REFUSAL]


def test_the_second_place_has_to_follow_soon(locked: LockedPresenter, kit: QuietKit, crew: Crew) -> None:
    """What rubs on the glass all morning touches both places some time."""
    locked.attempt(locked.hold_lower)
    ticks = locked.runs
    crew.wait(UPPER_WITHIN_S)
    closed_again = not locked.view.half_open
    locked.attempt(locked.hold_upper)

    assert ticks
    assert closed_again
    assert kit.ways.went == []


def test_the_back_key_leads_nowhere(locked: LockedPresenter, kit: QuietKit) -> None:
    assert locked.step_back()
    assert kit.ways.went == []


def test_the_end_of_the_bed_keeps_it_locked_and_unlocking_shows_the_summary(kit: QuietKit, crew: Crew) -> None:
    for _ in range(4):
        crew.notebook.start_row(crew.planting)
        crew.notebook.end_row(crew.planting)
    crew.notebook.start_row(crew.planting)
    crew.wait(60)
    locked = LockedPresenter(kit, crew.planting)

    locked.attempt(locked.press)
    crew.wait(60)
    locked.attempt(locked.press)
    stayed = (locked.view.title, list(kit.ways.went))
    unlock(locked)

    assert kit.felt == [Pulse.END, Pulse.REFUSAL]
    assert stayed == ("All 5 rows planted", [])
    assert [place for place, _ in kit.ways.went] == ["back", "finished"]


def test_locking_keeps_what_was_set_for_the_row(kit: QuietKit, crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    aside = DepthCrewPresenter(kit, crew.planting)
    aside.set_notch(4)

    aside.attempt(aside.lock)

    assert crew.state.open is not None
    assert crew.state.open.depth_notch == 4
    assert kit.ways.went == [("locked", {"planting": crew.planting})]
