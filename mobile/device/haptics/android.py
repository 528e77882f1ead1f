"""Vibration on Android."""

from dataclasses import dataclass
from typing import Any

from typing_extensions import override

from mobile.device.haptics.protocol import Buzzer, Haptic


@dataclass(frozen=True)
class AndroidBuzzer(Buzzer):
    """The vibrator, through plyer. A phone without one stays still."""

    vibrator: Any

    @override
    def buzz(self, haptic: Haptic) -> None:
        if self.vibrator.exists():
            self.vibrator.pattern(list(haptic.value))
