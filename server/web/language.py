"""Language of the office: the cookie's choice, else the best match of Accept-Language."""

from collections.abc import Iterable
from typing import Annotated

from fastapi import Depends, Request

from shared_models.i18n.conventions import LANGUAGES

LANGUAGE_COOKIE = "rowend_language"
DEFAULT_LANGUAGE = "en"


def language_of(request: Request) -> str:
    """The language to answer in."""
    chosen = request.cookies.get(LANGUAGE_COOKIE, "")
    return chosen if chosen in LANGUAGES else preferred(request.headers.get("accept-language", ""))


def preferred(accepted: str) -> str:
    """The supported language that an Accept-Language header ranks highest (RFC 9110, section 12.5.4)."""
    ranked = sorted(_ranked(accepted), key=lambda each: -each[0])
    supported = (language for weight, language in ranked if weight > 0 and language in LANGUAGES)
    return next(supported, DEFAULT_LANGUAGE)


def _ranked(accepted: str) -> Iterable[tuple[float, str]]:
    for part in accepted.split(","):
        name, _, quality = part.partition(";")
        try:
            weight = float(quality.strip().removeprefix("q=") or 1)
        except ValueError:
            continue
        yield weight, name.strip().lower().split("-")[0]


LanguageOf = Annotated[str, Depends(language_of)]
