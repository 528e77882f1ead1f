"""The screen left alone: on a desk, and in tests."""

from dataclasses import dataclass

from typing_extensions import override

from mobile.device.keep_awake.protocol import KeepAwake


@dataclass
class DeskKeepAwake(KeepAwake):
    """Records in `on` whether the screen should stay on."""

    on: bool = False

    @override
    def keep(self, on: bool) -> None:
        self.on = on
