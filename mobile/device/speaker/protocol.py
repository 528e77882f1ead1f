"""Short sounds that answer a tap."""

from typing import Protocol

from mobile.device.haptics.protocol import Haptic


class Speaker(Protocol):
    """Plays the sound of each `Haptic`."""

    def prepare(self) -> None:
        """Make and load the sounds; nobody waits for this."""

    def play(self, haptic: Haptic) -> None:
        """Start the sound once and return at once."""
