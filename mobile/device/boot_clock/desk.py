"""A desk computer's time since boot."""

import time
import uuid

from mobile.device.boot_clock.protocol import BootClock, kernel_boot_id, system_clock

NS_PER_MS = 1_000_000


def desk_clock() -> BootClock:
    """On Linux the kernel names the boot and counts through sleep; elsewhere each run of the program is a boot."""
    boot = kernel_boot_id()
    if boot and hasattr(time, "CLOCK_BOOTTIME"):
        return system_clock(boot, lambda: time.clock_gettime_ns(time.CLOCK_BOOTTIME) // NS_PER_MS)
    return system_clock(f"run-{uuid.uuid4()}", lambda: time.monotonic_ns() // NS_PER_MS)
