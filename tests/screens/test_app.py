"""The app in the hand: real touches through real screens, on a pretend phone whose clock is the test's."""

import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from kivy.app import App

from mobile.device.haptics.desk import DeskBuzzer
from mobile.device.haptics.protocol import Haptic
from mobile.device.keep_awake.desk import DeskKeepAwake
from mobile.log.notebook import Notebook
from mobile.presenters.base.routes import Route
from mobile.sync.scheduler import SyncStatus
from shared_models.core.vocabulary import StopReason
from shared_models.errors import StorageError, Unreachable
from shared_models.log.store import DISK_FULL
from shared_models.sync.pairing_link import PairingLink
from tests.mobile.conftest import Crew, crew
from tests.mobile.support.quiet_phone import QuietSync, hardware_of
from tests.screens.conftest import RunApp
from tests.screens.harness.field import app_on
from tests.screens.harness.probe import Probe

__all__ = ["crew"]

SPACE, BACK, VOLUME_UP = 32, 27, 0x40000080


@pytest.fixture
def take(run_app: RunApp, crew: Crew) -> Callable[[], Probe]:
    """Take the phone in the hand and open the app; again, after it was killed."""

    def opened() -> Probe:
        return run_app(app_on(crew.phone))

    return opened


def pull(probe: Probe, crew: Crew, seconds: float = 400) -> None:
    """Time goes by while the row is planted, or the transplanter turned."""
    crew.wait(seconds)
    probe.app.screen.refresh()


# rows


def test_a_five_row_bed_with_three_misses_costs_fourteen_taps(take: Callable[[], Probe], crew: Crew) -> None:
    """From opening the app to the summary; a row costs two."""
    probe, taps = take(), 0

    def tap(what: str) -> None:
        nonlocal taps
        probe.tap(what)
        taps += 1

    tap("North 1 · scallion")
    for row in range(1, 6):
        pull(probe, crew, 60)
        tap("row_button")
        pull(probe, crew)
        if row in (1, 2, 5):
            tap("miss")
        tap("row_button")

    assert taps == 14
    assert probe.shows("All 5 rows planted")
    assert probe.shows("3 misses to fill · carry 4 spare plants")


def test_killed_in_a_row_the_app_opens_in_that_row(take: Callable[[], Probe], crew: Crew) -> None:
    probe = take()
    probe.tap("North 1 · scallion")
    pull(probe, crew, 5)
    probe.tap("row_button")
    probe.tap("miss")
    crew.wait(90)

    crew.phone.kill()
    probe = take()

    assert probe.texts()[:3] == ["North 1 · scallion", "Row 1 of 5", "open 1:30"]
    assert probe.find("miss").count == "1"


def test_a_second_tap_at_once_is_no_second_row(take: Callable[[], Probe], crew: Crew) -> None:
    probe = take()
    probe.tap("North 1 · scallion")
    pull(probe, crew, 5)

    probe.tap("row_button")
    probe.tap("row_button")

    assert len(crew.state.passes) == 1
    assert crew.state.open is not None


def test_a_stop_is_two_taps_and_the_big_button_goes_on(take: Callable[[], Probe], crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    probe = take()
    pull(probe, crew, 60)

    probe.tap("stop")
    probe.tap("Chain broke")
    pull(probe, crew, 45)
    stopped = probe.texts()
    probe.tap("Go on")

    (stop,) = crew.state.passes[0].stop_entries
    assert "stopped: chain broke" in stopped
    assert (stop.reason, stop.ended is not None) == (StopReason.CHAIN_BROKE, True)
    assert probe.shows("End row 1")


def test_stop_can_be_left_without_a_stop(take: Callable[[], Probe], crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    probe = take()

    probe.tap("stop")
    probe.tap("no stop")

    assert probe.shows("End row 1")
    assert crew.state.passes[0].stops == []


def test_undo_takes_back_the_last_action(take: Callable[[], Probe], crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    probe = take()
    probe.tap("miss")

    probe.tap("Undo: miss")

    assert probe.find("miss").count == "0"
    assert probe.shows("Put back: miss")


@pytest.mark.parametrize("key", [SPACE, 13, 271, VOLUME_UP, 0x40000081, 0x40000105, 0x40000078])
def test_a_hardware_key_is_the_row_button(take: Callable[[], Probe], crew: Crew, key: int) -> None:
    crew.notebook.start_row(crew.planting)
    probe = take()
    pull(probe, crew)

    probe.press_key(key)

    assert crew.state.open is None


def test_a_key_that_is_held_counts_once(take: Callable[[], Probe], crew: Crew) -> None:
    probe = take()
    probe.tap("North 1 · scallion")
    pull(probe, crew, 5)

    for _ in range(5):
        probe.window.dispatch("on_key_down", VOLUME_UP, 0, "", [])
        crew.wait(2)
    probe.window.dispatch("on_key_up", VOLUME_UP, 0)

    assert crew.state.open is not None


def test_other_rooms_leave_the_keys_alone(take: Callable[[], Probe], crew: Crew) -> None:
    probe = take()

    probe.press_key(SPACE)

    assert crew.state.passes == ()


def test_each_tap_is_felt_and_the_screen_stays_on(run_app: RunApp, crew: Crew) -> None:
    hardware = hardware_of(crew.phone)
    probe = run_app(app_on(crew.phone, hardware=hardware))
    probe.tap("North 1 · scallion")
    probe.tap("row_button")
    pull(probe, crew, 5)
    probe.tap("row_button")
    probe.tap("miss")

    assert isinstance(hardware.buzzer, DeskBuzzer)
    assert isinstance(hardware.awake, DeskKeepAwake)
    assert hardware.buzzer.played == [Haptic.REFUSAL, Haptic.START, Haptic.MISS]
    assert hardware.awake.on


def test_depth_and_crew_are_one_level_away(take: Callable[[], Probe], crew: Crew) -> None:
    person = crew.notebook.add("person", name="Ines")
    crew.notebook.start_row(crew.planting)
    probe = take()
    probe.tap("Depth and crew")
    deeper = probe.find("notch").ids.more.__self__

    probe.tap(deeper)
    probe.tap(deeper)
    probe.scroll_to("Ines")
    probe.tap("Ines")
    probe.scroll_to("double")
    probe.tap("double")
    probe.scroll_to("note")
    probe.tap("note")
    probe.type("wet at the far end")
    probe.tap("Back to the row")

    (row,) = crew.state.passes
    assert (row.depth_notch, row.crew, row.doubles, row.note) == (2, [person], 1, "wet at the far end")
    assert probe.shows("notch 2 · Ines")


# other screens


def test_a_soil_check_from_the_first_question_to_the_verdict(take: Callable[[], Probe], crew: Crew) -> None:
    crew.notebook.write("bed", crew.bed, {"texture": "fine"})
    probe = take()
    probe.tap("Check")
    probe.tap("Soil check")
    probe.tap("North 1")
    probe.scroll_to("Wet")
    probe.tap("Wet")
    at_once = probe.shows("Wait. The soil is too wet")
    probe.tap("more")
    probe.tap("Next")
    probe.tap("Few")
    probe.tap("None")
    probe.tap("Skip")
    probe.tap("Skip")
    at_the_end = probe.shows("Wait. The soil is too wet")
    probe.tap("Save")

    assert (at_once, at_the_end) == (True, True)
    assert probe.shows("Waiting")


def test_an_answer_to_one_question_is_never_taken_for_another(take: Callable[[], Probe], crew: Crew) -> None:
    """Going back and forth between a number and a choice, each keeps its answer."""
    crew.notebook.write("bed", crew.bed, {"texture": "fine"})
    probe = take()
    probe.tap("Check")
    probe.tap("Soil check")
    probe.tap("North 1")
    probe.tap("Moist")
    probe.tap("more")
    probe.tap("Next")
    probe.tap("Some")
    kept: list[object] = []
    for _ in range(3):
        probe.tap("Back")
        chosen = [option.key for option in probe.app.screen.view.options if option.chosen]
        kept.append(probe.app.screen.view.value or chosen)

    assert kept == [["some"], 5, ["moist"]]


def test_a_day_can_be_started_without_the_office(run_app: RunApp, crew: Crew) -> None:
    """A bed, a sowing, a planting and a person, all made on the phone."""
    crew.notebook.void("planting", crew.planting)
    probe = run_app(app_on(crew.phone))
    probe.tap("New")
    probe.tap("Planting")
    probe.tap("New bed")
    probe.type("South 2")
    probe.tap("Next")
    probe.tap("more")
    probe.tap("Next")
    probe.tap("more")
    probe.tap("Next")
    probe.tap("Save")
    probe.tap("South 2")
    probe.tap("scallion")
    probe.tap("Today")
    probe.tap("Save")

    assert probe.shows("South 2 · scallion")
    assert probe.shows("4 rows of 100 ft")


def test_a_stand_count(take: Callable[[], Probe], crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    crew.notebook.end_row(crew.planting)
    crew.wait(7200)
    probe = take()
    probe.tap("Check")
    probe.tap("Stand count")
    probe.tap("North 1 · scallion")
    for _ in range(2):
        probe.tap("more")
        probe.tap("Next")
    probe.tap("more")

    assert probe.shows("Stand: 100% of 60 plants")
    probe.tap("Next")
    probe.tap("Save")
    assert probe.shows("Today, May 14")


def test_filling_from_the_summary(take: Callable[[], Probe], crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    crew.notebook.miss(crew.planting, 2)
    crew.notebook.end_row(crew.planting)
    probe = take()
    pull(probe, crew, 5)
    probe.tap("row_settings")
    probe.scroll_to("fill")
    probe.tap("fill")
    probe.tap("2 misses")
    probe.tap("Save")

    assert probe.shows("2 misses · 2 filled")
    assert probe.shows("Nothing to fill.")


def test_pairing_is_typed(run_app: RunApp, crew: Crew) -> None:
    sync = QuietSync()
    probe = run_app(app_on(crew.phone, sync))
    probe.tap("Sync")
    probe.tap("Pair this phone")
    probe.type("barn.local:8000")
    probe.tap("Next")
    probe.type("BCDF-GHJK")
    probe.tap("Next")
    probe.type("Ines")
    probe.tap("Next")
    probe.tap("Pair")

    assert sync.pairings == [(PairingLink(("http://barn.local:8000",), "BCDF-GHJK"), "Ines")]
    assert probe.shows("This phone is not paired yet.")


def test_a_new_sync_status_is_shown_at_once(run_app: RunApp, crew: Crew) -> None:
    crew.notebook.change_settings(server="http://barn.test")
    sync = QuietSync()
    probe = run_app(app_on(crew.phone, sync))
    probe.tap("Sync")

    sync.status = SyncStatus(problem=Unreachable("The service cannot be reached from here."))
    probe.app._on_status(sync.status)
    probe.settle()

    assert probe.shows("The service cannot be reached from here. Your entries are safe on this phone")


def test_the_language_changes_at_once(take: Callable[[], Probe]) -> None:
    probe = take()
    probe.tap("History")
    probe.scroll_to("This phone")
    probe.tap("This phone")
    probe.tap("Language")
    probe.tap("Español")
    probe.tap("Save")

    assert probe.shows("Por plantar")


# the app


def test_the_back_key_goes_back_step_by_step(take: Callable[[], Probe], crew: Crew) -> None:
    crew.notebook.write("bed", crew.bed, {"texture": "fine"})
    probe = take()
    probe.tap("Check")
    probe.tap("Soil check")
    probe.tap("North 1")

    asked = [probe.app.screen.view.ask]
    probe.press_key(BACK)
    asked.append(probe.app.screen.view.ask)
    probe.press_key(BACK)

    assert asked == ["How does a handful feel?", "Which bed?"]
    assert probe.shows("Today, May 14")


def test_on_the_first_screen_the_back_key_is_the_systems(take: Callable[[], Probe]) -> None:
    probe = take()

    assert not probe.app._key_down(probe.window, BACK)


def test_the_first_frame_is_drawn_before_the_notebook_is_opened(run_app: RunApp, crew: Crew) -> None:
    seen: list[str] = []

    def open_notebook() -> Notebook:
        app = App.get_running_app()
        seen.extend(Probe(app, app.root.get_root_window()).texts())
        return crew.notebook

    run_app(app_on(crew.phone, open_notebook=open_notebook))

    assert seen == ["Rowend"]


def test_a_notebook_that_cannot_be_opened_says_why_and_can_be_tried_again(run_app: RunApp, crew: Crew) -> None:
    troubles = [StorageError(DISK_FULL)]

    def open_notebook() -> Notebook:
        if troubles:
            raise troubles.pop()
        return crew.notebook

    probe = run_app(app_on(crew.phone, open_notebook=open_notebook))
    texts = probe.texts()
    faults = probe.faults()
    probe.tap("Try again")

    assert "Could not save: the storage is full." in texts[1]
    assert faults == []
    assert probe.shows("Today, May 14")


def test_before_the_notebook_is_open_the_app_speaks_the_phones_language(run_app: RunApp, crew: Crew) -> None:
    def open_notebook() -> Notebook:
        raise StorageError(DISK_FULL)

    hardware = replace(hardware_of(crew.phone), language=lambda: "es")
    probe = run_app(app_on(crew.phone, hardware=hardware, open_notebook=open_notebook))

    assert "el almacenamiento está lleno" in probe.texts()[1]
    assert probe.shows("Intentar otra vez")
    assert probe.faults() == []


def test_the_phone_may_take_the_app_away_and_give_it_back(run_app: RunApp, crew: Crew) -> None:
    """Android's pause and resume, with an entry from another phone in between."""
    sync = QuietSync()
    probe = run_app(app_on(crew.phone, sync))
    wakes = sync.wakes

    paused = probe.app.dispatch("on_pause")
    crew.notebook.start_row(crew.planting)
    probe.app.dispatch("on_resume")
    probe.settle()

    assert paused
    assert probe.shows("row 1 of 5 is open")
    assert sync.wakes == wakes + 1


def test_an_idle_screen_costs_no_frames(take: Callable[[], Probe]) -> None:
    probe = take()
    probe.run_for(1.0)  # the list's bar fades

    assert probe.run_for(1.5) == 0


def test_an_open_row_costs_one_frame_a_second_and_none_once_it_is_left(take: Callable[[], Probe], crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    probe = take()
    old = probe.app.screen
    showed = probe.find("Row 1 of 5")

    crew.wait(7)
    probe.wait_until(lambda: probe.shows("open 0:07"), "the stopwatch goes on")
    drawn = probe.run_for(2.2)
    probe.app.go(Route.TODAY)

    assert showed is not None
    assert drawn <= 3
    assert old._tick is None or not old._tick.is_triggered


def test_disk_trouble_in_the_row_is_told_and_the_row_stays(take: Callable[[], Probe], crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    probe = take()
    with crew.notebook.engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA query_only=ON")

    probe.tap("miss")

    assert probe.shows("Could not save")
    assert probe.find("miss").count == "0"


def test_importing_the_app_opens_no_window_and_knows_no_database(tmp_path: Path) -> None:
    known = "{'kivy.core.window', 'sqlalchemy', 'sqlmodel', 'requests', 'pydantic'} & set(sys.modules)"
    program = f"import sys, mobile.app, mobile.main; sys.exit(str({known} or ''))"

    done = subprocess.run(  # noqa: S603 - our own line
        [sys.executable, "-c", program], capture_output=True, text=True, cwd=tmp_path, check=False
    )

    assert done.stderr.strip() == ""
