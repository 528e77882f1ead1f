"""Numbers, percentages, dates and times by the conventions of a language and country. Figures are rounded here."""

import math
import re
from collections.abc import Callable, Mapping
from datetime import date, time
from typing import Any

from shared_models.i18n.conventions import Conventions

#: Stands where there is no figure.
NO_VALUE = "–"
_MINUS = "−"
#: a quoted text of a date pattern, or a field: one letter, once or several times
_PART = re.compile(r"'([^']*)'|([a-zA-Z])\2*")
_FIELDS: Mapping[str, Callable[[Any, Conventions], str]] = {
    "y": lambda at, _: str(at.year),
    "MMMM": lambda at, conventions: conventions.months[at.month - 1],
    "MMM": lambda at, conventions: conventions.short_months[at.month - 1],
    "EEEE": lambda at, conventions: conventions.weekdays[at.weekday()],
    "d": lambda at, _: str(at.day),
    "dd": lambda at, _: f"{at.day:02}",
    "H": lambda at, _: str(at.hour),
    "HH": lambda at, _: f"{at.hour:02}",
    "h": lambda at, _: str(at.hour % 12 or 12),
    "mm": lambda at, _: f"{at.minute:02}",
    "ss": lambda at, _: f"{at.second:02}",
    "a": lambda at, conventions: conventions.half_days[at.hour >= 12],  # noqa: PLR2004 - noon
}


def number(value: float | None, conventions: Conventions, digits: int = 0, *, trim: bool = False) -> str:
    """Format a number with its thousands set apart; `trim` drops zeros at the end of its decimals."""
    if value is None:
        return NO_VALUE
    whole, _, part = f"{abs(value):,.{digits}f}".partition(".")
    if trim:
        part = part.rstrip("0")
    sign = _MINUS if value < 0 and (whole + part).strip("0") else ""
    return sign + whole.replace(",", conventions.thousands) + (conventions.point + part if part else "")


def percent(share: float | None, conventions: Conventions, digits: int = 0, *, trim: bool = False) -> str:
    """Format a share as a percentage. What is not all is never rounded up to 100%: it has at least a tenth."""
    if share is None:
        return NO_VALUE
    if share < 1 and round(100 * share, digits) >= 100:  # noqa: PLR2004 - all
        digits = max(digits, 1)
        share = math.floor(share * 10.0 ** (digits + 2)) / 10.0 ** (digits + 2)
    return conventions.percent.format(n=number(100 * share, conventions, digits, trim=trim))


def by_pattern(pattern: str, at: date | time, conventions: Conventions) -> str:
    """Format a date or a time of day by a CLDR pattern."""
    return fill_pattern(pattern, lambda name: _FIELDS[name](at, conventions))


def fill_pattern(pattern: str, field: Callable[[str], str]) -> str:
    """Replace the fields of a CLDR pattern; quoted texts stay."""
    return _PART.sub(lambda part: part[1] if part[2] is None else field(part[0]), pattern)
