"""Translations as gettext keeps them. `setup.py` compiles the .po files to the .mo files that are read here."""

import gettext
from pathlib import Path

#: the language that the texts in the code are written in
SOURCE_LANGUAGE = "en"


def catalog(folder: Path, language: str) -> gettext.NullTranslations:
    """The translations into a language from a folder of them; texts in the source language stay as they are.

    Raises:
        FileNotFoundError: when they are not there, or not compiled.
    """
    if language == SOURCE_LANGUAGE:
        return gettext.NullTranslations()
    return gettext.translation("rowend", folder, [language])
