"""Android's time since boot, sleep included."""

from collections.abc import Callable
from typing import Any

from mobile.device.boot_clock.protocol import BootClock, kernel_boot_id, system_clock


def android_clock(autoclass: Callable[[str], Any]) -> BootClock:
    """The clock, with Android's count of boots where the kernel's name of the boot is hidden."""
    android = autoclass("android.os.SystemClock")
    boot = kernel_boot_id()
    if not boot:
        settings = autoclass("android.provider.Settings$Global")
        resolver = autoclass("org.kivy.android.PythonActivity").mActivity.getContentResolver()
        boot = f"boot-{settings.getInt(resolver, settings.BOOT_COUNT)}"
    return system_clock(boot, lambda: int(android.elapsedRealtime()))
