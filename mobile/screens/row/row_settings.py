"""One level from the row."""
# mypy: disallow-subclassing-any=False

from __future__ import annotations

from mobile.screens.base.screen import Screen


class DepthCrewRoom(Screen):
    """Depth, crew, a double and a note; it counts when the person goes back to the row."""
