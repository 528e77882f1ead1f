"""Keeping the screen on while a row is open."""

from typing import Protocol


class KeepAwake(Protocol):
    """Keeps the screen on."""

    def keep(self, on: bool) -> None:
        """Keep the screen on from now, or no longer."""
