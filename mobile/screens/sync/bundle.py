"""Bundles."""
# mypy: disallow-subclassing-any=False

from __future__ import annotations

from mobile.screens.base.screen import Room


class BundleRoom(Room):
    """What came of the last one, and two large things to do."""
