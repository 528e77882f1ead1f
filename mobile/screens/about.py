"""What this app is."""
# mypy: disallow-subclassing-any=False

from __future__ import annotations

from mobile.screens.base.screen import Room


class AboutRoom(Room):
    """Three paragraphs with their headings, to be scrolled."""
