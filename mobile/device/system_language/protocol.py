"""The system's language, for what is shown before anybody chose one in the app."""

from collections.abc import Callable

from shared_models.i18n.catalog import SOURCE_LANGUAGE
from shared_models.i18n.conventions import LANGUAGES

SystemLanguage = Callable[[], str]
"""Returns a language that the app has."""


def supported(name: str) -> str:
    """The language of a locale's name, such as es of es_MX.UTF-8; English where the app has no such language."""
    language = name.replace("-", "_").partition("_")[0].partition(".")[0].casefold()
    return language if language in LANGUAGES else SOURCE_LANGUAGE
