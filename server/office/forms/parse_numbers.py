"""Parse numbers as people type them."""

import re

from server.render.localizer import Localizer

_GAP = re.compile(r"(?<=\d)[ \N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}](?=\d{3}(?!\d))")  # between thousands
_NUMBER = re.compile(r"-?\d+([.,]\d+)?")


class FieldError(ValueError):
    """What was typed cannot be stored; the message says what to do, in the reader's language."""


def number_in(typed: str, localizer: Localizer) -> float:
    """A number as people type it, with the point of their language or the other, or their mark between thousands.

    Raises:
        FieldError: when it is none, or when a mark in it could also part thousands.
    """
    text = _GAP.sub("", typed.strip().replace("\N{MINUS SIGN}", "-"))
    if not _NUMBER.fullmatch(text) or len(text) > 20:  # noqa: PLR2004 - no figure here is as long
        raise FieldError(localizer.t("enter a number"))
    _, mark, part = text.partition("," if "," in text else ".")
    if mark and mark != localizer.conventions.point and len(part) == 3:  # noqa: PLR2004 - thousands
        if mark == localizer.conventions.thousands:
            return float(text.replace(mark, ""))
        raise FieldError(localizer.t("enter the number without a mark between the thousands"))
    return float(text.replace(",", "."))


def without_unit(typed: str, *units: str) -> str:
    """The text without one of these units behind it: 85 % means 85."""
    text = typed.strip()
    unit = next((unit for unit in units if unit and text.casefold().endswith(unit.casefold())), "")
    return text[: len(text) - len(unit)]
