"""The translations of the app's texts."""

from __future__ import annotations

from gettext import NullTranslations
from pathlib import Path

from shared_models.i18n import catalog as shared

FOLDER = Path(__file__).parent / "locale"


def catalogue(language: str) -> NullTranslations:
    """The translations into a language; without a catalogue, the texts stay as they are."""
    return shared.catalogue(FOLDER, language)
