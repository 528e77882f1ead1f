"""In which language a browser is answered: the one that was chosen here, else the first of its own that we talk."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

from fastapi import Depends, Request

from shared_models.i18n.localizer import LANGUAGES

LANGUAGE_COOKIE = "rowend_language"
USUAL = "en"


def language_of(request: Request) -> str:
    """The language to answer in."""
    chosen = request.cookies.get(LANGUAGE_COOKIE, "")
    return chosen if chosen in LANGUAGES else preferred(request.headers.get("accept-language", ""))


def preferred(accepted: str) -> str:
    """The language of an Accept-Language header (RFC 9110, section 12.5.4) that is liked best and talked here."""
    ranked = sorted(_ranked(accepted), key=lambda each: -each[0])
    return next((language for weight, language in ranked if weight > 0 and language in LANGUAGES), USUAL)


def _ranked(accepted: str) -> Iterable[tuple[float, str]]:
    for part in accepted.split(","):
        name, _, weight = part.partition(";")
        try:
            told = float(weight.strip().removeprefix("q=") or 1)
        except ValueError:
            continue
        yield told, name.strip().lower().split("-")[0]


LanguageOf = Annotated[str, Depends(language_of)]
