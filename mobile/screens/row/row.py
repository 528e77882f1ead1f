"""The row's screen: nothing to scroll, nothing to type, no dialog."""
# mypy: disallow-subclassing-any=False

from __future__ import annotations

from mobile.screens.base.screen import Screen


class RowRoom(Screen):
    """State on top, then miss and stop, then the one big button over the lower half."""
