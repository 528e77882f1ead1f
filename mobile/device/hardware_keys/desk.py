"""Hardware keys on a desk, where the window gets them anyway."""

from dataclasses import dataclass

from typing_extensions import override

from mobile.device.hardware_keys.protocol import KeyCapture


@dataclass
class DeskKeyCapture(KeyCapture):
    """Records in `on` whether the keys should be captured."""

    on: bool = False

    @override
    def capture(self, on: bool) -> None:
        self.on = on
