"""Handing over."""
# mypy: disallow-subclassing-any=False

from __future__ import annotations

from mobile.screens.base.screen import Screen


class HandOverRoom(Screen):
    """How it stands, and what can be done about it."""
