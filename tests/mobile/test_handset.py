"""The phone's parts: the pretend ones remember, the real ones ask plyer and Android for the right thing."""

from __future__ import annotations

import itertools
import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from mobile import handset
from mobile.handset import Fix, NoLocator, PhoneBuzzer, PhoneLocator, Pulse, QuietAwake, QuietBuzzer, choose_parts
from shared_models.moments import elapsed_s


class FakeVibrator:
    def __init__(self, *, there: bool) -> None:
        self.there = there
        self.buzzed: list[list[float]] = []

    def exists(self) -> bool:
        return self.there

    def pattern(self, pattern: list[float]) -> None:
        self.buzzed.append(pattern)


class FakeGps:
    """Hands the prepared reports to whoever listens."""

    def __init__(self, *accuracies_m: float) -> None:
        self.accuracies_m = accuracies_m
        self.running = False
        self.listener: Callable[..., None] = print

    def configure(self, on_location: Callable[..., None]) -> None:
        self.listener = on_location

    def start(self, **_: object) -> None:
        self.running = True
        for place, accuracy in enumerate(self.accuracies_m):
            self.listener(lat=50.0 + place, lon=8.0, speed=0.0, bearing=0.0, altitude=120.0, accuracy=accuracy)

    def stop(self) -> None:
        self.running = False


def allowed(answer: Callable[[bool], None]) -> None:
    answer(True)


def refused(answer: Callable[[bool], None]) -> None:
    answer(False)


# what the hand feels


def test_every_pulse_is_different_from_the_others() -> None:
    """No two have the same number of buzzes of about the same length."""

    def told(pulse: Pulse) -> tuple[int, int]:
        buzzes = pulse.value[1::2]
        return len(buzzes), round(sum(buzzes) * 10)

    assert len({told(pulse) for pulse in Pulse}) == len(Pulse)


@pytest.mark.parametrize("pulse", Pulse)
def test_a_pulse_starts_at_once_and_is_over_within_a_second(pulse: Pulse) -> None:
    assert pulse.value[0] == 0
    assert len(pulse.value) % 2 == 0
    assert all(part > 0 for part in pulse.value[1:])
    assert sum(pulse.value) <= 1


def test_the_phone_buzzes_the_pattern() -> None:
    vibrator = FakeVibrator(there=True)

    PhoneBuzzer(vibrator).feel(Pulse.MISS)

    assert vibrator.buzzed == [list(Pulse.MISS.value)]


def test_a_phone_without_a_vibrator_stays_still() -> None:
    vibrator = FakeVibrator(there=False)

    PhoneBuzzer(vibrator).feel(Pulse.MISS)

    assert vibrator.buzzed == []


def test_the_pretend_parts_remember() -> None:
    buzzer, awake = QuietBuzzer(), QuietAwake()

    buzzer.feel(Pulse.START)
    awake.keep(on=True)

    assert buzzer.felt == [Pulse.START]
    assert awake.on


# where the phone is


def fixes(locator: handset.Locator) -> list[Fix | None]:
    told: list[Fix | None] = []
    locator.fix(told.append)
    return told


def test_the_first_good_fix_is_told_once_and_ends_the_listening() -> None:
    gps = FakeGps(40, 12, 5, 3)

    told = fixes(PhoneLocator(gps, allowed))

    assert told == [Fix(52.0, 8.0, 5)]
    assert not gps.running


def test_without_a_good_fix_the_best_of_many_is_told() -> None:
    gps = FakeGps(40, 12, 30, 25)

    told = fixes(PhoneLocator(gps, allowed, most_fixes=4))

    assert told == [Fix(51.0, 8.0, 12)]


def test_without_leave_there_is_no_fix_and_no_listening() -> None:
    gps = FakeGps(3)

    assert fixes(PhoneLocator(gps, refused)) == [None]
    assert not gps.running


def test_whoever_waits_is_told_the_best_so_far_when_it_takes_too_long() -> None:
    """Giving up ends the waiting once; with nothing heard, the answer is None."""
    gps = FakeGps(40, 30)
    locator = PhoneLocator(gps, allowed)
    told = fixes(locator)
    assert told == []

    locator.give_up()
    locator.give_up()

    assert told == [Fix(51.0, 8.0, 30)]
    assert not gps.running


def test_asking_again_answers_whoever_asked_before() -> None:
    locator = PhoneLocator(FakeGps(), allowed)

    first = fixes(locator)
    second = fixes(locator)
    locator.give_up()

    assert (first, second) == ([None], [None])


def test_a_desk_knows_one_place_or_none() -> None:
    assert fixes(NoLocator()) == [None]
    assert fixes(NoLocator(Fix(50, 8, 2))) == [Fix(50, 8, 2)]


# what time it is


def test_the_desks_clock_only_runs_forward_within_one_boot() -> None:
    clock = choose_parts().clock

    moments = [clock.moment() for _ in range(100)]

    assert {moment.boot for moment in moments} == {clock.moment().boot}
    assert all(elapsed_s(one, other) >= 0 for one, other in itertools.pairwise(moments))
    assert abs(moments[-1].at - datetime.now(UTC)) < timedelta(minutes=1)


@pytest.mark.skipif(not handset.BOOT_ID.exists(), reason="only Linux names its boots")
def test_another_run_on_the_same_boot_is_the_same_boot() -> None:
    line = "from mobile.handset import choose_parts; print(choose_parts().clock.moment().boot)"

    other = subprocess.run([sys.executable, "-c", line], check=True, capture_output=True, text=True)  # noqa: S603

    assert other.stdout.strip() == choose_parts().clock.moment().boot


def test_where_boots_have_no_name_each_run_is_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(handset, "BOOT_ID", Path("/nowhere/boot_id"))

    one, other = handset.desk_clock(), handset.desk_clock()

    assert one.moment().boot == one.moment().boot
    assert one.moment().boot != other.moment().boot


def android(boot_count: int, uptime_ms: int) -> Callable[[str], Any]:
    classes = {
        "android.os.SystemClock": SimpleNamespace(elapsedRealtime=lambda: uptime_ms),
        "android.provider.Settings$Global": SimpleNamespace(BOOT_COUNT="boot_count", getInt=lambda *_: boot_count),
        "org.kivy.android.PythonActivity": SimpleNamespace(mActivity=SimpleNamespace(getContentResolver=lambda: None)),
    }
    return classes.__getitem__


def test_android_counts_boots_where_it_hides_their_name(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(handset, "BOOT_ID", Path("/nowhere/boot_id"))

    moment = handset.android_clock(android(boot_count=41, uptime_ms=7_200_123)).moment()

    assert (moment.boot, moment.boot_ms) == ("boot-41", 7_200_123)


def test_a_desk_imports_nothing_of_a_phone_and_opens_no_window() -> None:
    line = (
        "import sys; from mobile.handset import choose_parts; choose_parts();"
        "sys.exit(bool({'jnius', 'android', 'plyer', 'kivy'} & set(sys.modules)))"
    )

    subprocess.run([sys.executable, "-c", line], check=True)  # noqa: S603 - our own line
