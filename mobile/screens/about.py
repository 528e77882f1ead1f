"""What this app is."""
# mypy: disallow-subclassing-any=False

from __future__ import annotations

from mobile.screens.base.screen import Screen


class AboutRoom(Screen):
    """Three paragraphs with their headings, to be scrolled."""
