"""Why the row stands still: as many large choices as reasons, all on one screen."""
# mypy: disallow-subclassing-any=False

from __future__ import annotations

from mobile.screens.base.screen import Screen


class StopRoom(Screen):
    """Two columns, or one where the text is too large for two; the way back is always there."""
