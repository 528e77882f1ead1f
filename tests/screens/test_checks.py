"""Tape sample, tray check and row length with real touches, and fixes that come from another thread."""

from collections.abc import Callable
from dataclasses import replace
from threading import Thread
from typing import Any

import pytest
from kivy.metrics import mm
from kivy.tests import UnitTestTouch
from sqlmodel import select

from mobile.device.location.protocol import Fix, Search
from mobile.presenters.base.routes import Route
from mobile.presenters.checks.tape_draft import draft
from shared_models.records.tables import RowPass, StandCount, TrayCheck
from tests.mobile.conftest import Crew, crew
from tests.mobile.presenters.row.test_row_length import Sky
from tests.mobile.support.quiet_phone import hardware_of
from tests.screens.conftest import RunApp
from tests.screens.harness.field import app_on
from tests.screens.harness.probe import Probe

__all__ = ["crew"]


@pytest.fixture
def take(run_app: RunApp, crew: Crew) -> Callable[[], Probe]:
    """A row is planted, and the phone is in the hand two hours later."""

    def opened() -> Probe:
        crew.notebook.start_row(crew.planting)
        crew.notebook.end_row(crew.planting)
        crew.wait(7200)
        return run_app(app_on(crew.phone))

    return opened


def held(crew: Crew, table: type[Any]) -> Any:
    with crew.notebook.reading() as session:
        return session.exec(select(table)).one()


def touch(probe: Probe, inch: float, *, let_go_at: float | None = None) -> None:
    """A finger on the stretch of tape, a foot long, that is shown."""
    tape = probe.find("tape")

    def height(at: float) -> float:
        return float(tape._bottom + at / 12 * tape._length)

    finger = UnitTestTouch(tape.center_x, height(inch))
    finger.touch_down()
    probe.frame()
    if let_go_at is not None:
        finger.touch_move(tape.center_x, height(let_go_at))
    finger.touch_up()
    probe.settle()


def inches(crew: Crew) -> list[float]:
    begun = draft(crew.notebook)
    return [round(place / 25.4 * 4) / 4 for place in begun.placed] if begun else []


def test_a_tape_sample_from_the_first_touch_to_the_entry(take: Callable[[], Probe], crew: Crew) -> None:
    probe = take()
    probe.app.go(Route.TAPE)
    probe.tap("North 1 · scallion")
    probe.tap("more")
    probe.tap("Next")
    probe.tap("more")
    probe.tap("Start the tape")
    for inch in (0, 2, 4, 8, 8.75):
        touch(probe, inch)
    probe.tap("next")
    probe.tap("farther")
    touch(probe, 1.5)
    on_the_tape = (inches(crew), probe.shows("North 1, row 1: 7 plants"), probe.shows("12 to 24 of 120 in"))
    probe.tap("Next")
    shown = (probe.shows("7 plants in 10 ft"), probe.shows("Skip of 4 in after 4 in: 1 plant missing."))
    probe.tap("Save")

    assert on_the_tape == ([0, 2, 4, 8, 8.75, 10.75, 13.5], True, True)
    assert shown == (True, True)
    assert held(crew, StandCount).positions_mm == [0, 51, 102, 203, 222, 273, 343]
    assert probe.shows("Today, May 14")


def strip(probe: Probe, crew: Crew) -> None:
    probe.app.go(Route.TAPE_STRIP, planting=crew.planting, row=1, length_mm=3048)
    probe.settle()


def test_a_finger_near_a_plant_chooses_it_to_be_moved_or_taken_away(take: Callable[[], Probe], crew: Crew) -> None:
    """Plants two inches apart lie more than a finger apart on the smallest glass."""
    probe = take()
    strip(probe, crew)
    touch(probe, 2)
    touch(probe, 4)
    touch(probe, 2.3)

    probe.tap(probe.find("place").ids.more.__self__)
    moved = inches(crew)
    probe.tap("remove")

    assert moved == [2.25, 4]
    assert inches(crew) == [4]
    assert probe.find("tape")._length / 6 >= mm(10)


def test_the_place_where_the_finger_leaves_the_tape_counts(take: Callable[[], Probe], crew: Crew) -> None:
    probe = take()
    strip(probe, crew)

    touch(probe, 2, let_go_at=3)

    assert inches(crew) == [3]


def test_a_plant_at_the_very_end_of_the_tape_can_be_touched(take: Callable[[], Probe], crew: Crew) -> None:
    probe = take()
    strip(probe, crew)

    touch(probe, -0.3)
    touch(probe, 12.3)

    assert inches(crew) == [0, 12]


def test_a_tray_check_from_the_first_question_to_the_entry(take: Callable[[], Probe], crew: Crew) -> None:
    probe = take()
    probe.app.go(Route.TRAYS)
    probe.tap("scallion")
    probe.tap("more")
    probe.tap("Next")
    probe.tap("more")
    probe.tap("Next")
    probe.tap("Skip")
    probe.tap("the mix falls apart")
    verdict = probe.shows("Wait. The mix falls out of the cells")
    probe.tap("Save")

    check = held(crew, TrayCheck)
    assert verdict
    assert (check.cells_seen, check.cells_empty, check.leaves, check.roots_hold) == (264, 0, None, False)


@pytest.fixture
def sky() -> Sky:
    return Sky()


@pytest.fixture
def outside(run_app: RunApp, crew: Crew, sky: Sky) -> Probe:
    """At the end of an open row, with a phone that can find out where it is."""
    crew.notebook.start_row(crew.planting)
    probe = run_app(app_on(crew.phone, hardware=replace(hardware_of(crew.phone), locator=sky)))
    probe.app.go(Route.LENGTH, planting=crew.planting)
    probe.tap("From its two ends")
    probe.tap("Mark this end")
    return probe


def elsewhere(sky: Sky, search: Search) -> None:
    """Reported by another thread, as Android does."""
    thread = Thread(target=sky.says, args=(search,))
    thread.start()
    thread.join()


def test_fixes_from_another_thread_make_a_rows_length(outside: Probe, crew: Crew, sky: Sky) -> None:
    elsewhere(sky, Search(Fix(50.0, 8.0, 9.0)))
    outside.wait_until(lambda: outside.shows("within about 30 ft"), "the best so far is shown")
    outside.tap("Use this")
    outside.tap("Mark the other end")
    elsewhere(sky, Search(Fix(50.000274, 8.0, 3.0), over=True))
    outside.wait_until(lambda: outside.shows("100 ft, give or take 40 ft"), "the length is proposed")
    kept = held(crew, RowPass).end_latitude
    outside.tap("Use for row 1")

    assert kept is None
    row = held(crew, RowPass)
    assert (row.start_accuracy_m, row.end_latitude) == (9.0, 50.000274)


@pytest.mark.parametrize("way_out", ["another screen", "put away", "closed"])
def test_no_receiver_runs_on_when_the_person_turns_to_something_else(outside: Probe, sky: Sky, way_out: str) -> None:
    elsewhere(sky, Search())
    outside.settle()
    before = sky.given_up

    {
        "another screen": lambda: outside.app.go(Route.TODAY),
        "put away": lambda: outside.app.dispatch("on_pause"),
        "closed": lambda: outside.app.dispatch("on_stop"),
    }[way_out]()

    assert (before, sky.given_up) == (0, 1)


def test_news_of_a_search_that_comes_after_the_room_was_left_changes_nothing(outside: Probe, sky: Sky) -> None:
    outside.app.go(Route.TODAY)

    elsewhere(sky, Search(Fix(50.0, 8.0, 3.0), over=True))
    outside.settle()

    assert outside.shows("Today, May 14")
