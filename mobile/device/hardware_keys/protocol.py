"""Whether the volume keys and headset buttons go to the app or to the system."""

from typing import Protocol


class KeyCapture(Protocol):
    """Captures the hardware keys, which Android otherwise keeps for the volume."""

    def capture(self, on: bool) -> None:
        """Capture the keys from now, or leave them to the system."""
