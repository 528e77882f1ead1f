"""The list of what was logged."""
# mypy: disallow-subclassing-any=False

from __future__ import annotations

from mobile.screens.base.screen import Screen


class EntriesRoom(Screen):
    """A page of entries under their days; below it the ways back and to one kind."""
