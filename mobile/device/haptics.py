"""What a tap did, as the hand feels it. `sounds.py` has the same for the ear."""

from __future__ import annotations

from enum import Enum


class Haptic(Enum):
    """What a tap did, told to the hand: seconds to wait, buzz, wait, buzz …; each can be told from the others."""

    START = (0.0, 0.10, 0.10, 0.35)
    END = (0.0, 0.50)
    MISS = (0.0, 0.12)
    STOP = (0.0, 0.20, 0.12, 0.20, 0.12, 0.20)
    UNDO = (0.0, 0.10, 0.10, 0.10)
    REFUSAL = (0.0, 0.06, 0.06, 0.06, 0.06, 0.06, 0.06, 0.06, 0.06, 0.06)
