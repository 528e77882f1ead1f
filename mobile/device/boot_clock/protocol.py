"""The wall clock, and beside it a clock that only runs forward while the phone is on."""

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from shared_models.core.moments import Moment

BOOT_ID = Path("/proc/sys/kernel/random/boot_id")

BootClock = Callable[[], Moment]
"""Reads both clocks."""


def system_clock(boot: str, since_boot_ms: Callable[[], int]) -> BootClock:
    """The system's wall clock, and its time since the boot named `boot`."""
    return lambda: Moment(datetime.now(UTC), boot, since_boot_ms())


def kernel_boot_id() -> str:
    """Linux's name of the current boot, empty where it is hidden or there is none."""
    try:
        return BOOT_ID.read_text().strip()
    except OSError:
        return ""
