"""Hardware keys on Android."""

from collections.abc import Callable
from typing import Any

from typing_extensions import override

from mobile.device.hardware_keys.protocol import KeyCapture


class AndroidKeyCapture(KeyCapture):
    """Through our own activity: SDL's leaves the volume keys to Android, and knows no headset button."""

    def __init__(self, autoclass: Callable[[str], Any]) -> None:
        self._autoclass = autoclass

    @override
    def capture(self, on: bool) -> None:
        self._autoclass("org.rowend.RowActivity").takeKeys(on)
