"""How numbers of the field catalog are set with − and +: start, step and bounds, in the farm's unit."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil, floor

from mobile.presenters.base.form import Number
from shared_models.fields.catalog import Field, fields_of
from shared_models.fields.quantities import (
    COUNT,
    DEPTH,
    LENGTH,
    PERCENT,
    SHARE,
    SPACING,
    TEMPERATURE,
    WATER,
    WIDTH,
    Quantity,
)
from shared_models.i18n.localizer import Localizer

_CLOSE = 1e-6


@dataclass(frozen=True, slots=True)
class Steps:
    """Where a number starts, and how far a touch goes."""

    start: float
    step: float = 1


#: in feet and inches, and in metric units
STEPS: Mapping[Quantity, tuple[Steps, Steps]] = {
    LENGTH: (Steps(100), Steps(30)),
    WIDTH: (Steps(12), Steps(30)),
    DEPTH: (Steps(1.25, 0.25), Steps(30, 5)),
    SPACING: (Steps(2), Steps(5)),
    WATER: (Steps(0.5, 0.1), Steps(10)),
    TEMPERATURE: (Steps(55), Steps(13)),
    PERCENT: (Steps(5, 5), Steps(5, 5)),
    SHARE: (Steps(90), Steps(90)),
    COUNT: (Steps(0), Steps(0)),
}


def control(field: Field, localizer: Localizer, steps: tuple[Steps, Steps] | None = None) -> Number:
    """The control of a field, from the least to the most that may be stored, in whole steps."""
    quantity, unit = field.quantity, field.quantity.unit(localizer)
    chosen = (steps or STEPS[quantity])[0 if localizer.feet else 1]
    low, high = ((bound - unit.zero) / unit.size / chosen.step for bound in (field.low, field.high))
    lowest = chosen.step * (1 if field.above else ceil(low - _CLOSE))
    start = field.default if isinstance(field.default, int | float) else max(chosen.start, lowest)
    decimals = 0 if quantity in (PERCENT, SHARE) else unit.decimals
    highest = chosen.step * floor(high + _CLOSE)
    return Number(start, chosen.step, lowest, highest, decimals, quantity.unit_name(localizer))


def control_of(kind: str, name: str, localizer: Localizer, steps: tuple[Steps, Steps] | None = None) -> Number:
    """The control of a record's field."""
    return control(fields_of(kind)[name], localizer, steps)


def stored(kind: str, name: str, number: float, localizer: Localizer) -> float:
    """The value to store in a record's field for a number that was set."""
    return fields_of(kind)[name].quantity.stored(number, localizer)


def starting(feet: float, metres: float | None = None, step: float = 1) -> tuple[Steps, Steps]:
    """Steps that start elsewhere than others of their quantity."""
    return Steps(feet, step), Steps(feet if metres is None else metres, step)
