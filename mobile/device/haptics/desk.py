"""No vibration: on a desk, and in tests."""

from dataclasses import dataclass, field

from typing_extensions import override

from mobile.device.haptics.protocol import Buzzer, Haptic


@dataclass
class DeskBuzzer(Buzzer):
    """Records the patterns in `played`."""

    played: list[Haptic] = field(default_factory=list)

    @override
    def buzz(self, haptic: Haptic) -> None:
        self.played.append(haptic)
