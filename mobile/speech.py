"""How the app talks. Every text on a screen comes from here.

English texts are the keys of the catalogue; `words.py` beside the presenters has those that stand for stored words.
"""

from __future__ import annotations

from dataclasses import dataclass
from gettext import NullTranslations

from mobile.catalogue import catalogue
from shared_models import speech


@dataclass(frozen=True, slots=True)
class Speech(speech.Speech):
    """One way to talk, with the app's own catalogue."""

    def catalogue(self) -> NullTranslations:
        """The app's texts in this language."""
        return catalogue(self.language)
