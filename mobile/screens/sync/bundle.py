"""Bundles."""
# mypy: disallow-subclassing-any=False

from __future__ import annotations

from mobile.screens.base.screen import Screen


class BundleRoom(Screen):
    """What came of the last one, and two large things to do."""
