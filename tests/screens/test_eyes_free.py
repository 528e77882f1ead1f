"""The phone in a pocket and at dusk: keys short and long, touches locked, other colours."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from kivy.tests import UnitTestTouch
from kivy.utils import get_color_from_hex

from mobile.device.haptics.desk import DeskBuzzer
from mobile.device.haptics.protocol import Haptic
from mobile.device.hardware import Hardware
from mobile.device.hardware_keys.desk import DeskKeyCapture
from mobile.device.hardware_keys.presses import LONG_PRESS_S
from mobile.device.keep_awake.desk import DeskKeepAwake
from mobile.device.speaker.desk import DeskSpeaker
from mobile.log.notebook import Notebook
from mobile.presenters.base.routes import Route
from mobile.screens.base import theme
from mobile.screens.row.locked import HoldPad
from mobile.sync.scheduler import SyncStatus
from shared_models.errors import StorageError
from tests.mobile.conftest import Crew, crew
from tests.mobile.support.quiet_phone import QuietSync, hardware_of
from tests.screens.conftest import RunApp
from tests.screens.harness.field import app_on
from tests.screens.harness.probe import Probe

__all__ = ["crew"]

VOLUME_UP, BACK = 0x40000080, 27
HOLD_S = HoldPad.hold_s + 0.1


@pytest.fixture
def hardware(crew: Crew) -> Hardware:
    return hardware_of(crew.phone)


@pytest.fixture
def take(run_app: RunApp, crew: Crew, hardware: Hardware) -> Callable[[], Probe]:
    """Take the phone in the hand and open the app."""
    return lambda: run_app(app_on(crew.phone, hardware=hardware))


def haptics_of(hardware: Hardware) -> list[Haptic]:
    assert isinstance(hardware.buzzer, DeskBuzzer)
    return hardware.buzzer.played


def down(probe: Probe) -> None:
    probe.window.dispatch("on_key_down", VOLUME_UP, 0, "", [])


def up(probe: Probe) -> None:
    probe.window.dispatch("on_key_up", VOLUME_UP, 0)
    probe.settle()


def misses(crew: Crew) -> int:
    row = crew.state.open or crew.state.last
    assert row is not None
    return row.misses


# keys


def test_a_key_held_down_is_a_miss_that_is_felt_before_it_comes_up(
    take: Callable[[], Probe], crew: Crew, hardware: Hardware
) -> None:
    crew.notebook.start_row(crew.planting)
    crew.wait(60)
    probe = take()

    down(probe)
    probe.run_for(LONG_PRESS_S / 2)
    early = list(haptics_of(hardware))
    down(probe)
    probe.run_for(LONG_PRESS_S / 2 + 0.1)
    held = list(haptics_of(hardware))
    down(probe)
    up(probe)

    assert (early, held, haptics_of(hardware)) == ([], [Haptic.MISS], [Haptic.MISS])
    assert misses(crew) == 1
    assert crew.state.open is not None
    assert probe.find("miss").count == "1"


def test_a_short_press_ends_the_row_and_is_no_miss(take: Callable[[], Probe], crew: Crew, hardware: Hardware) -> None:
    crew.notebook.start_row(crew.planting)
    crew.wait(60)
    probe = take()

    down(probe)
    up(probe)
    probe.run_for(LONG_PRESS_S + 0.1)

    assert haptics_of(hardware) == [Haptic.END]
    assert misses(crew) == 0


def test_a_call_in_the_middle_of_a_press_leaves_the_row_and_the_key_as_they_were(
    take: Callable[[], Probe], crew: Crew, hardware: Hardware
) -> None:
    """The key comes up while the other app has it."""
    crew.notebook.start_row(crew.planting)
    crew.wait(60)
    probe = take()

    down(probe)
    probe.app.dispatch("on_pause")
    probe.run_for(LONG_PRESS_S + 0.1)
    probe.app.dispatch("on_resume")
    untouched = (haptics_of(hardware) == [], crew.state.open is not None)
    probe.press_key(VOLUME_UP)

    assert untouched == (True, True)
    assert haptics_of(hardware) == [Haptic.END]


def test_a_press_that_began_in_the_row_does_nothing_in_another_room(take: Callable[[], Probe], crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    crew.wait(60)
    probe = take()

    down(probe)
    probe.app.go(Route.TODAY)
    probe.app.go(Route.ROW, planting=crew.planting)
    down(probe)
    up(probe)

    assert crew.state.open is not None
    assert misses(crew) == 0


def test_the_keys_are_the_rows_only_while_it_is_on_the_screen(
    take: Callable[[], Probe], crew: Crew, hardware: Hardware
) -> None:
    """Elsewhere the volume keys change the volume."""
    assert isinstance(hardware.keys, DeskKeyCapture)
    probe = take()
    on = [hardware.keys.on]
    for place in (Route.ROW, Route.STOP, Route.LOCKED, Route.TODAY):
        probe.app.go(place, **({} if place is Route.TODAY else {"planting": crew.planting}))
        on.append(hardware.keys.on)

    assert on == [False, True, False, True, False]


# the lock


def locked(take: Callable[[], Probe], crew: Crew) -> Probe:
    """A row is open, and the touches are locked by hand."""
    crew.notebook.start_row(crew.planting)
    crew.wait(60)
    probe = take()
    probe.tap("row_settings")
    probe.scroll_to("lock")
    probe.tap("Lock screen")
    return probe


def test_touches_are_locked_and_the_keys_go_on(take: Callable[[], Probe], crew: Crew, hardware: Hardware) -> None:
    probe = locked(take, crew)
    shown = probe.texts()

    for target in probe.targets():
        if not target.disabled:
            probe.tap(target.widget)
    probe.press_key(BACK)
    still_locked = probe.shows("Screen locked")
    down(probe)
    probe.run_for(LONG_PRESS_S + 0.1)
    up(probe)
    probe.press_key(VOLUME_UP)

    assert {"Row 1 of 5", "open 1:00", "miss: 0", "Screen locked"} <= set(shown)
    assert still_locked
    assert haptics_of(hardware) == [Haptic.MISS, Haptic.END]
    assert misses(crew) == 1
    assert probe.shows("Row 2 of 5")
    assert isinstance(hardware.awake, DeskKeepAwake)
    assert hardware.awake.on


def test_holding_two_places_one_after_the_other_unlocks(take: Callable[[], Probe], crew: Crew) -> None:
    probe = locked(take, crew)

    rest_on(probe, "lower", HOLD_S)
    half = probe.shows("2. Now hold here")
    rest_on(probe, "upper", HOLD_S)

    assert half
    assert probe.shows("End row 1")


def test_a_finger_that_lifts_or_slides_off_too_soon_unlocks_nothing(take: Callable[[], Probe], crew: Crew) -> None:
    probe = locked(take, crew)

    rest_on(probe, "lower", HoldPad.hold_s / 2)
    probe.run_for(HOLD_S)
    lifted = probe.shows("2. Then hold here")
    rest_on(probe, "lower", HOLD_S, slide_off=True)

    assert lifted
    assert probe.shows("2. Then hold here")


def rest_on(probe: Probe, name: str, seconds: float, *, slide_off: bool = False) -> None:
    """A finger on a place for a while; by the time it lifts, the place may be gone."""
    pad = probe.find(name)
    touch = UnitTestTouch(*pad.to_window(*pad.center))
    touch.touch_down()
    probe.frame()
    if slide_off:
        touch.touch_move(pad.center_x, pad.top + 200)
    probe.run_for(seconds)
    touch.touch_up()
    probe.settle()


# dusk


def test_at_dusk_the_colours_change_at_once_and_stay(run_app: RunApp, crew: Crew) -> None:
    probe = run_app(app_on(crew.phone))
    probe.app.go(Route.PHONE)
    for tap in ("Screen colors", "Dusk: light on dark", "Save"):
        probe.tap(tap)
    changed = probe.app.screen.ground
    crew.phone.kill()
    probe = run_app(app_on(crew.phone))

    assert changed == list(get_color_from_hex(theme.DUSK.paper))
    assert probe.app.screen.ground == changed
    assert probe.faults() == []


# trouble


def test_a_full_disk_at_the_end_of_a_sync_does_not_end_the_app(run_app: RunApp, crew: Crew) -> None:
    sync = QuietSync()
    probe = run_app(app_on(crew.phone, sync))
    with crew.notebook.engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA query_only=ON")

    sync.status = SyncStatus(success=crew.phone.clock.true)
    probe.app._on_status(sync.status)
    probe.settle()

    assert probe.shows("Today, May 14")


def test_a_notebook_that_fails_while_the_first_screen_is_made_can_be_tried_again(run_app: RunApp, crew: Crew) -> None:
    opened: list[Notebook] = []

    def open_notebook() -> Notebook:
        if opened:
            return crew.notebook
        opened.append(BrokenNotebook(crew))
        return opened[0]

    probe = run_app(app_on(crew.phone, open_notebook=open_notebook))
    texts = probe.texts()
    probe.tap("Try again")

    assert "database disk image is malformed" in texts[1]
    assert probe.shows("Today, May 14")


class BrokenNotebook(Notebook):
    """One that opens, and fails at the first look."""

    def __init__(self, crew: Crew) -> None:
        notebook = crew.notebook
        super().__init__(notebook.folder, now=notebook.now, random_bits=lambda: 0, keystore=notebook.keystore)

    def current_planting(self) -> str | None:
        raise StorageError("database disk image is malformed")


def test_a_desk_sounds_too(run_app: RunApp, crew: Crew) -> None:
    hardware = replace(hardware_of(crew.phone), speaker=DeskSpeaker())
    crew.notebook.start_row(crew.planting)
    crew.wait(60)
    probe = run_app(app_on(crew.phone, hardware=hardware))

    probe.tap("miss")

    assert misses(crew) == 1
