"""Vibration patterns that answer a tap, and what plays them."""

from enum import Enum
from typing import Protocol


class Haptic(Enum):
    """A pattern: seconds to wait, buzz, wait, buzz …; each can be told from the others by feel."""

    START = (0.0, 0.10, 0.10, 0.35)
    END = (0.0, 0.50)
    MISS = (0.0, 0.12)
    STOP = (0.0, 0.20, 0.12, 0.20, 0.12, 0.20)
    UNDO = (0.0, 0.10, 0.10, 0.10)
    REFUSAL = (0.0, 0.06, 0.06, 0.06, 0.06, 0.06, 0.06, 0.06, 0.06, 0.06)


class Buzzer(Protocol):
    """A vibrator."""

    def buzz(self, haptic: Haptic) -> None:
        """Start the pattern once and return at once."""
