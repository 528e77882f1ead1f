"""The phone's own parts: what it feels and sounds like, what keeps it awake, where it is and what time it is.

Each part is a seam with a real and a pretend side; `choose_parts` picks one set. Android's side is imported only there.
"""

from __future__ import annotations

import sys
import time
import uuid
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Protocol

from mobile.device.deep_links import GivenLink, Links, PhoneLinks
from mobile.device.discovery import NoDiscovery, ServiceDiscovery, android_neighbours
from mobile.device.haptics import Haptic
from mobile.device.location import Locator, NoLocator, PhoneLocator, android_receiver, asking_for
from mobile.device.sharing import DeskSharer, PhoneSharer, Sharer
from mobile.device.speaker import DeskSpeaker, PhoneSpeaker, QuietSpeaker, Speaker
from mobile.device.tts import PhoneVoice, QuietVoice, Voice
from shared_models.core.moments import Moment

BOOT_ID = Path("/proc/sys/kernel/random/boot_id")
NS_PER_MS = 1_000_000


class Buzzer(Protocol):
    """Tells the hand what a tap did."""

    def feel(self, haptic: Haptic) -> None:
        """Buzz once, at once, without waiting for the end of it."""


class Awake(Protocol):
    """Keeps the screen on while a row is open."""

    def keep(self, on: bool) -> None:
        """Keep the screen on from now, or no longer."""


class KeyTaker(Protocol):
    """Has the phone's keys beside the glass come to the app; else the system keeps some, for its volume."""

    def take(self, on: bool) -> None:
        """Take them from now, or leave them to the system."""


@dataclass(slots=True)
class QuietKeyTaker:
    """Remembers whether the keys should come; on a desk they always do."""

    on: bool = False

    def take(self, on: bool) -> None:
        """Remember it."""
        self.on = on


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
    speaker: Speaker = field(default_factory=QuietSpeaker)
    voice: Voice = field(default_factory=QuietVoice)
    keys: KeyTaker = field(default_factory=QuietKeyTaker)
    sharer: Sharer = field(default_factory=DeskSharer)
    links: Links = field(default_factory=GivenLink)
    neighbours: ServiceDiscovery = field(default_factory=NoDiscovery)


def choose_parts() -> Parts:
    """The real parts on a phone; on a desk, parts that only remember, and the desk's own clock and sounds."""
    if hasattr(sys, "getandroidapilevel"):
        return _android_parts()
    return Parts(QuietBuzzer(), QuietAwake(), NoLocator(), desk_clock(), DeskSpeaker())


# on a desk


@dataclass(slots=True)
class QuietBuzzer:
    """Remembers what it was asked to tell."""

    felt: list[Haptic] = field(default_factory=list)

    def feel(self, haptic: Haptic) -> None:
        """Remember it."""
        self.felt.append(haptic)


@dataclass(slots=True)
class QuietAwake:
    """Remembers whether the screen should stay on."""

    on: bool = False

    def keep(self, on: bool) -> None:
        """Remember it."""
        self.on = on


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

    def feel(self, haptic: Haptic) -> None:
        """Buzz."""
        if self.vibrator.exists():
            self.vibrator.pattern(list(haptic.value))


class WindowAwake:
    """The screen stays on while the app's window asks for it."""

    def keep(self, on: bool) -> None:
        """Ask, or ask no longer."""
        from kivy.core.window import Window  # noqa: PLC0415 - importing it opens the window

        Window.allow_screensaver = not on


class PhoneKeyTaker:
    """Through the app's own activity: SDL's leaves the volume keys to Android, and knows no headset button."""

    def __init__(self, autoclass: Callable[[str], Any]) -> None:
        self._autoclass = autoclass

    def take(self, on: bool) -> None:
        """Tell the activity."""
        self._autoclass("org.rowend.RowActivity").takeKeys(on)


def _android_parts() -> Parts:
    import jnius  # noqa: PLC0415 - only a phone has it
    from android import activity as events  # noqa: PLC0415 - as above
    from android.permissions import Permission, check_permission, request_permissions  # noqa: PLC0415 - as above
    from plyer import vibrator  # noqa: PLC0415 - on a phone only

    wanted = [Permission.ACCESS_FINE_LOCATION, Permission.ACCESS_COARSE_LOCATION]
    locator = PhoneLocator(android_receiver(jnius), asking_for(wanted, check_permission, request_permissions))
    activity = _activity(jnius.autoclass)
    return Parts(
        PhoneBuzzer(vibrator),
        WindowAwake(),
        locator,
        android_clock(jnius.autoclass),
        PhoneSpeaker(jnius.autoclass, lambda: Path(str(_activity(jnius.autoclass).getCacheDir().getAbsolutePath()))),
        PhoneVoice(jnius.autoclass),
        PhoneKeyTaker(jnius.autoclass),
        PhoneSharer(jnius, activity, events),
        PhoneLinks(activity, events),
        android_neighbours(jnius, activity),
    )


def _activity(autoclass: Callable[[str], Any]) -> Any:
    return autoclass("org.kivy.android.PythonActivity").mActivity


def android_clock(autoclass: Callable[[str], Any]) -> SystemClock:
    """Android's time since boot, sleep included; its count of boots where the kernel's name of the boot is hidden."""
    system_clock = autoclass("android.os.SystemClock")
    named = _named_boot()
    if not named:
        settings = autoclass("android.provider.Settings$Global")
        resolver = _activity(autoclass).getContentResolver()
        named = f"boot-{settings.getInt(resolver, settings.BOOT_COUNT)}"
    return SystemClock(named, lambda: int(system_clock.elapsedRealtime()))
