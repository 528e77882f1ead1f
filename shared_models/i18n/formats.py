"""How figures are said to people, in the farm's units. This is the edge where they are rounded."""

from __future__ import annotations

from typing import overload

from shared_models.core.units import MM_PER_METRE, mm_to_feet, mm_to_inches
from shared_models.core.vocabulary import LengthUnits

#: Stands where a figure cannot be told.
NOT_TOLD = "–"
MM_PER_CM = 10.0
SECONDS_A_MINUTE = 60


def number(value: float | None, digits: int = 0) -> str:
    """A figure with its thousands set apart."""
    return NOT_TOLD if value is None else f"{value:,.{digits}f}"


def short(value: float) -> str:
    """A figure to a tenth, and without the tenth where that is 0."""
    return number(value, 0 if abs(value - round(value)) < 0.05 else 1)  # noqa: PLR2004 - half a tenth


def percent(share: float | None, digits: int = 1) -> str:
    """A share as a percentage. What is not all is never rounded up to all."""
    if share is None:
        return NOT_TOLD
    shown = f"{100 * share:.{digits}f}"
    if share < 1 and float(shown) >= 100:  # noqa: PLR2004 - all
        shown = f"{100 - 10.0**-digits:.{digits}f}"
    return f"{shown}\N{NO-BREAK SPACE}%"


def minutes(seconds: float, digits: int = 1) -> str:
    """A time in minutes."""
    return number(seconds / SECONDS_A_MINUTE, digits)


@overload
def in_farm_units(mm: float, units: LengthUnits) -> float: ...


@overload
def in_farm_units(mm: float | None, units: LengthUnits) -> float | None: ...


def in_farm_units(mm: float | None, units: LengthUnits) -> float | None:
    """A length (or a length per hour) in feet or metres, not rounded."""
    if mm is None:
        return None
    return mm_to_feet(mm) if units is LengthUnits.FEET else mm / MM_PER_METRE


def unit(units: LengthUnits) -> str:
    """The unit that lengths of row are said in."""
    return "ft" if units is LengthUnits.FEET else "m"


def spacing(mm: float, units: LengthUnits) -> str:
    """A spacing in inches or centimetres, to a tenth."""
    if units is LengthUnits.FEET:
        return f"{short(mm_to_inches(mm))} in"
    return f"{short(mm / MM_PER_CM)} cm"
