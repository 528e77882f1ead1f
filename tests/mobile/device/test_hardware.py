"""The phone's hardware classes ask plyer and Android for the right thing, and a desk imports nothing of a phone."""

import itertools
import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from mobile.device.boot_clock import protocol
from mobile.device.boot_clock.android import android_clock
from mobile.device.boot_clock.desk import desk_clock
from mobile.device.haptics.android import AndroidBuzzer
from mobile.device.haptics.protocol import Haptic
from mobile.device.hardware import choose_hardware
from mobile.device.system_language.android import android_language
from mobile.device.system_language.desk import desk_language
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

    def buzzes_of(haptic: Haptic) -> tuple[int, int]:
        buzzes = haptic.value[1::2]
        return len(buzzes), round(sum(buzzes) * 10)

    assert len({buzzes_of(haptic) for haptic in Haptic}) == len(Haptic)


@pytest.mark.parametrize("haptic", Haptic)
def test_a_pulse_starts_at_once_and_is_over_within_a_second(haptic: Haptic) -> None:
    assert haptic.value[0] == 0
    assert len(haptic.value) % 2 == 0
    assert all(part > 0 for part in haptic.value[1:])
    assert sum(haptic.value) <= 1


def test_the_phone_buzzes_the_pattern() -> None:
    vibrator = FakeVibrator(there=True)

    AndroidBuzzer(vibrator).buzz(Haptic.MISS)

    assert vibrator.buzzed == [list(Haptic.MISS.value)]


def test_a_phone_without_a_vibrator_stays_still() -> None:
    vibrator = FakeVibrator(there=False)

    AndroidBuzzer(vibrator).buzz(Haptic.MISS)

    assert vibrator.buzzed == []


# what time it is


def test_the_desks_clock_only_runs_forward_within_one_boot() -> None:
    clock = choose_hardware().clock

    moments = [clock() for _ in range(100)]

    assert {moment.boot for moment in moments} == {clock().boot}
    assert all(elapsed_s(one, other) >= 0 for one, other in itertools.pairwise(moments))
    assert abs(moments[-1].at - datetime.now(UTC)) < timedelta(minutes=1)


@pytest.mark.skipif(not protocol.BOOT_ID.exists(), reason="only Linux names its boots")
def test_another_run_on_the_same_boot_is_the_same_boot() -> None:
    line = "from mobile.device.hardware import choose_hardware; print(choose_hardware().clock().boot)"

    other = subprocess.run([sys.executable, "-c", line], check=True, capture_output=True, text=True)  # noqa: S603

    assert other.stdout.strip() == choose_hardware().clock().boot


def test_where_boots_have_no_name_each_run_is_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(protocol, "BOOT_ID", Path("/nowhere/boot_id"))

    one, other = desk_clock(), desk_clock()

    assert one().boot == one().boot
    assert one().boot != other().boot


def android(boot_count: int, uptime_ms: int) -> Callable[[str], Any]:
    classes = {
        "android.os.SystemClock": SimpleNamespace(elapsedRealtime=lambda: uptime_ms),
        "android.provider.Settings$Global": SimpleNamespace(BOOT_COUNT="boot_count", getInt=lambda *_: boot_count),
        "org.kivy.android.PythonActivity": SimpleNamespace(mActivity=SimpleNamespace(getContentResolver=lambda: None)),
    }
    return classes.__getitem__


def test_android_counts_boots_where_it_hides_their_name(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(protocol, "BOOT_ID", Path("/nowhere/boot_id"))

    moment = android_clock(android(boot_count=41, uptime_ms=7_200_123))()

    assert (moment.boot, moment.boot_ms) == ("boot-41", 7_200_123)


# which language it speaks


@pytest.mark.parametrize(
    ("environment", "language"),
    [
        ({"LANG": "es_MX.UTF-8"}, "es"),
        ({"LANG": "en_US.UTF-8", "LANGUAGE": "es:en"}, "es"),
        ({"LC_ALL": "C", "LANG": "es_MX.UTF-8"}, "en"),
        ({"LANG": "fr_CA.UTF-8"}, "en"),
        ({}, "en"),
    ],
)
def test_a_desk_speaks_the_language_of_its_environment(environment: dict[str, str], language: str) -> None:
    assert desk_language(environment) == language


@pytest.mark.parametrize(("androids", "language"), [("es", "es"), ("en", "en"), ("fr", "en")])
def test_a_phone_speaks_androids_language_or_english(androids: str, language: str) -> None:
    locale = SimpleNamespace(getLanguage=lambda: androids)
    classes = {"java.util.Locale": SimpleNamespace(getDefault=lambda: locale)}

    assert android_language(classes.__getitem__)() == language


def test_a_desk_imports_nothing_of_a_phone_and_opens_no_window() -> None:
    line = (
        "import sys; from mobile.device.hardware import choose_hardware; choose_hardware();"
        "sys.exit(bool({'jnius', 'android', 'plyer', 'kivy'} & set(sys.modules)))"
    )

    subprocess.run([sys.executable, "-c", line], check=True)  # noqa: S603 - our own line
