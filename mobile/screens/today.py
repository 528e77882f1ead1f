"""The day's screen: a list of plantings, and the ways to the other rooms."""
# mypy: disallow-subclassing-any=False

from __future__ import annotations

from mobile.screens.base.screen import Screen


class TodayRoom(Screen):
    """Plantings in the middle, what this phone alone holds on top, ways to go at the bottom."""
