"""The phone's own parts: what it feels like, what keeps it awake, where it is and what time it is.

Each part is a seam with a real and a pretend side; `choose_parts` picks one set. Android's side is imported only there.
"""

from __future__ import annotations

import sys
import time
import uuid
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from enum import Enum
from pathlib import Path
from threading import Lock
from typing import Any, Protocol

from shared_models.moments import Moment

BOOT_ID = Path("/proc/sys/kernel/random/boot_id")
NS_PER_MS = 1_000_000


class Pulse(Enum):
    """What a tap did, told to the hand: seconds to wait, buzz, wait, buzz …; each can be told from the others."""

    START = (0.0, 0.10, 0.10, 0.35)
    END = (0.0, 0.50)
    MISS = (0.0, 0.12)
    STOP = (0.0, 0.20, 0.12, 0.20, 0.12, 0.20)
    UNDO = (0.0, 0.10, 0.10, 0.10)
    REFUSAL = (0.0, 0.06, 0.06, 0.06, 0.06, 0.06, 0.06, 0.06, 0.06, 0.06)


class Buzzer(Protocol):
    """Tells the hand what a tap did."""

    def feel(self, pulse: Pulse) -> None:
        """Buzz once, at once, without waiting for the end of it."""


class Awake(Protocol):
    """Keeps the screen on while a row is open."""

    def keep(self, on: bool) -> None:
        """Keep the screen on from now, or no longer."""


@dataclass(frozen=True, slots=True)
class Fix:
    """Where the phone is, and how far off that may be (68 of 100 fixes are nearer)."""

    latitude: float
    longitude: float
    accuracy_m: float


class Locator(Protocol):
    """Finds out where the phone is."""

    def fix(self, tell: Callable[[Fix | None], None]) -> None:
        """Start to look; `tell` is called once, maybe from another thread, with None where there is no telling."""

    def give_up(self) -> None:
        """Wait no longer: whoever still waits is told the best so far, or None."""


class BootClock(Protocol):
    """The wall clock, and beside it a clock that only ever runs forward while the phone is on."""

    def moment(self) -> Moment:
        """Now."""


@dataclass(frozen=True, slots=True)
class Parts:
    """One phone's parts."""

    buzzer: Buzzer
    awake: Awake
    locator: Locator
    clock: BootClock


def choose_parts() -> Parts:
    """The real parts on a phone; on a desk, parts that only remember, and the desk's own clock."""
    if hasattr(sys, "getandroidapilevel"):
        return _android_parts()
    return Parts(QuietBuzzer(), QuietAwake(), NoLocator(), desk_clock())


# on a desk


@dataclass(slots=True)
class QuietBuzzer:
    """Remembers what it was asked to tell."""

    felt: list[Pulse] = field(default_factory=list)

    def feel(self, pulse: Pulse) -> None:
        """Remember it."""
        self.felt.append(pulse)


@dataclass(slots=True)
class QuietAwake:
    """Remembers whether the screen should stay on."""

    on: bool = False

    def keep(self, on: bool) -> None:
        """Remember it."""
        self.on = on


@dataclass(slots=True)
class NoLocator:
    """Knows one place, or none."""

    known: Fix | None = None

    def fix(self, tell: Callable[[Fix | None], None]) -> None:
        """Tell the place at once."""
        tell(self.known)

    def give_up(self) -> None:
        """Nobody ever waits."""


@dataclass(frozen=True, slots=True)
class SystemClock:
    """The system's wall clock, and its time since the boot named `boot`."""

    boot: str
    since_boot_ms: Callable[[], int]

    def moment(self) -> Moment:
        """Now."""
        return Moment(datetime.now(UTC), self.boot, self.since_boot_ms())


def desk_clock() -> SystemClock:
    """On Linux the kernel names the boot and counts through sleep; elsewhere each run of the program is a boot."""
    named = _named_boot()
    if named and hasattr(time, "CLOCK_BOOTTIME"):
        return SystemClock(named, lambda: time.clock_gettime_ns(time.CLOCK_BOOTTIME) // NS_PER_MS)
    return SystemClock(f"run-{uuid.uuid4()}", lambda: time.monotonic_ns() // NS_PER_MS)


def _named_boot() -> str:
    try:
        return BOOT_ID.read_text().strip()
    except OSError:
        return ""


# on Android


@dataclass(frozen=True, slots=True)
class PhoneBuzzer:
    """The phone's vibrator, through plyer. A phone without one stays still."""

    vibrator: Any

    def feel(self, pulse: Pulse) -> None:
        """Buzz."""
        if self.vibrator.exists():
            self.vibrator.pattern(list(pulse.value))


class WindowAwake:
    """The screen stays on while the app's window asks for it."""

    def keep(self, on: bool) -> None:
        """Ask, or ask no longer."""
        from kivy.core.window import Window  # noqa: PLC0415 - importing it opens the window

        Window.allow_screensaver = not on


@dataclass(slots=True)
class PhoneLocator:
    """The phone's receivers, through plyer: listens until a fix is good enough, then tells the best it had.

    `ask` asks the person for leave, and calls back with the answer. Fixes come in Android's thread.
    """

    gps: Any
    ask: Callable[[Callable[[bool], None]], None]
    good_m: float = 6.0
    most_fixes: int = 15
    _heard: list[Fix] = field(default_factory=list)
    _tell: Callable[[Fix | None], None] | None = None
    _lock: Lock = field(default_factory=Lock)

    def fix(self, tell: Callable[[Fix | None], None]) -> None:
        """Ask for leave, then listen. Whoever asked before gets the best so far."""
        self.give_up()
        self.ask(lambda granted: self._listen(tell) if granted else tell(None))

    def give_up(self) -> None:
        """Stop listening, and tell the best so far."""
        with self._lock:
            tell, self._tell = self._tell, None
        if tell is not None:
            self.gps.stop()
            tell(min(self._heard, key=lambda fix: fix.accuracy_m, default=None))

    def _listen(self, tell: Callable[[Fix | None], None]) -> None:
        self._heard, self._tell = [], tell
        self.gps.configure(on_location=self._hear)
        self.gps.start(minTime=1000, minDistance=0)

    def _hear(self, lat: float, lon: float, accuracy: float, **_: object) -> None:
        self._heard.append(Fix(lat, lon, accuracy))
        if accuracy <= self.good_m or len(self._heard) >= self.most_fixes:
            self.give_up()


def _android_parts() -> Parts:
    from android.permissions import Permission, request_permissions  # noqa: PLC0415 - only a phone has it
    from jnius import autoclass  # noqa: PLC0415 - only a phone has it
    from plyer import gps, vibrator  # noqa: PLC0415 - on a phone only

    def ask(answer: Callable[[bool], None]) -> None:
        def answered(_asked: Sequence[str], granted: Sequence[bool]) -> None:
            answer(all(granted))

        request_permissions([Permission.ACCESS_FINE_LOCATION, Permission.ACCESS_COARSE_LOCATION], answered)

    return Parts(PhoneBuzzer(vibrator), WindowAwake(), PhoneLocator(gps, ask), android_clock(autoclass))


def android_clock(autoclass: Callable[[str], Any]) -> SystemClock:
    """Android's time since boot, sleep included; its count of boots where the kernel's name of the boot is hidden."""
    system_clock = autoclass("android.os.SystemClock")
    named = _named_boot()
    if not named:
        settings = autoclass("android.provider.Settings$Global")
        activity = autoclass("org.kivy.android.PythonActivity").mActivity
        named = f"boot-{settings.getInt(activity.getContentResolver(), settings.BOOT_COUNT)}"
    return SystemClock(named, lambda: int(system_clock.elapsedRealtime()))
