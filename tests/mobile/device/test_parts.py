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

from mobile.device import parts
from mobile.device.haptics import Haptic
from mobile.device.parts import PhoneBuzzer, QuietAwake, QuietBuzzer, choose_parts
from shared_models.core.moments import elapsed_s


class FakeVibrator:
    def __init__(self, *, there: bool) -> None:
        self.there = there
        self.buzzed: list[list[float]] = []

    def exists(self) -> bool:
        return self.there

    def pattern(self, pattern: list[float]) -> None:
        self.buzzed.append(pattern)


# what the hand feels


def test_every_pulse_is_different_from_the_others() -> None:
    """No two have the same number of buzzes of about the same length."""

    def told(haptic: Haptic) -> tuple[int, int]:
        buzzes = haptic.value[1::2]
        return len(buzzes), round(sum(buzzes) * 10)

    assert len({told(haptic) for haptic in Haptic}) == len(Haptic)


@pytest.mark.parametrize("haptic", Haptic)
def test_a_pulse_starts_at_once_and_is_over_within_a_second(haptic: Haptic) -> None:
    assert haptic.value[0] == 0
    assert len(haptic.value) % 2 == 0
    assert all(part > 0 for part in haptic.value[1:])
    assert sum(haptic.value) <= 1


def test_the_phone_buzzes_the_pattern() -> None:
    vibrator = FakeVibrator(there=True)

    PhoneBuzzer(vibrator).feel(Haptic.MISS)

    assert vibrator.buzzed == [list(Haptic.MISS.value)]


def test_a_phone_without_a_vibrator_stays_still() -> None:
    vibrator = FakeVibrator(there=False)

    PhoneBuzzer(vibrator).feel(Haptic.MISS)

    assert vibrator.buzzed == []


def test_the_pretend_parts_remember() -> None:
    buzzer, awake = QuietBuzzer(), QuietAwake()

    buzzer.feel(Haptic.START)
    awake.keep(on=True)

    assert buzzer.felt == [Haptic.START]
    assert awake.on


# what time it is


def test_the_desks_clock_only_runs_forward_within_one_boot() -> None:
    clock = choose_parts().clock

    moments = [clock.moment() for _ in range(100)]

    assert {moment.boot for moment in moments} == {clock.moment().boot}
    assert all(elapsed_s(one, other) >= 0 for one, other in itertools.pairwise(moments))
    assert abs(moments[-1].at - datetime.now(UTC)) < timedelta(minutes=1)


@pytest.mark.skipif(not parts.BOOT_ID.exists(), reason="only Linux names its boots")
def test_another_run_on_the_same_boot_is_the_same_boot() -> None:
    line = "from mobile.device.parts import choose_parts; print(choose_parts().clock.moment().boot)"

    other = subprocess.run([sys.executable, "-c", line], check=True, capture_output=True, text=True)  # noqa: S603

    assert other.stdout.strip() == choose_parts().clock.moment().boot


def test_where_boots_have_no_name_each_run_is_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(parts, "BOOT_ID", Path("/nowhere/boot_id"))

    one, other = parts.desk_clock(), parts.desk_clock()

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
    monkeypatch.setattr(parts, "BOOT_ID", Path("/nowhere/boot_id"))

    moment = parts.android_clock(android(boot_count=41, uptime_ms=7_200_123)).moment()

    assert (moment.boot, moment.boot_ms) == ("boot-41", 7_200_123)


def test_a_desk_imports_nothing_of_a_phone_and_opens_no_window() -> None:
    line = (
        "import sys; from mobile.device.parts import choose_parts; choose_parts();"
        "sys.exit(bool({'jnius', 'android', 'plyer', 'kivy'} & set(sys.modules)))"
    )

    subprocess.run([sys.executable, "-c", line], check=True)  # noqa: S603 - our own line
