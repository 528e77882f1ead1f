"""The ways that only calculators fill a field in: heights, a weight, several figures in one field."""

import re
from dataclasses import dataclass
from typing import Any

from server.office.forms.field_kinds import FieldKind, Number, figure
from server.office.forms.fields import field_kind
from server.office.forms.names import RecordNames
from server.office.forms.parse_numbers import FieldError
from server.render.localizer import Localizer
from shared_models.core.units import MM_PER_INCH
from shared_models.fields.quantities import MM_PER_CM, Quantity, Unit, length

MOST_FIGURES = 100
_BETWEEN = re.compile(r"[,;]?\s+|;")  # a comma alone may be a decimal one

HEIGHT = Number(length(Unit("in", MM_PER_INCH), Unit("cm", MM_PER_CM), whole=False), 0, 3_000)
THICKNESS = Number(length(Unit("in", MM_PER_INCH), Unit("mm"), whole=False), 0, 100, above=True)
MINUTES, HOURS, GRAMS = figure(0.1, 10_000, "min"), figure(0.5, 24, "h"), figure(0.1, 100_000, "g")
#: kept in the unit that it is typed in
WEIGHT = Number(Quantity(Unit("lb"), Unit("kg")), 0.1, 1000)
LENGTH, SPACING = field_kind("bed", "length_mm"), field_kind("sowing", "spacing_mm")
ROW_NUMBER, MONEY = field_kind("bed", "rows"), field_kind("person", "wage_per_hour")
TEMPERATURE = field_kind("weather", "t_max_c")


def minutes_text(minutes: float, localizer: Localizer) -> str:
    """A time in minutes."""
    return localizer.t("{n} min", n=localizer.number(minutes, 2 if minutes < 100 else 0))  # noqa: PLR2004 - enough digits


@dataclass(frozen=True, slots=True)
class Listed(FieldKind):
    """Several figures of one kind, with a space between them."""

    each: FieldKind
    least: int = 1

    def unit(self, names: RecordNames) -> str:
        return self.each.unit(names)

    def parse(self, typed: str, names: RecordNames) -> Any:
        parts = [part for part in _BETWEEN.split(typed) if part]
        if not self.least <= len(parts) <= MOST_FIGURES:
            low, high = names.localizer.number(self.least), names.localizer.number(MOST_FIGURES)
            raise FieldError(names.localizer.t("enter from {low} to {high} numbers", low=low, high=high))
        return tuple(self.each.parse(part, names) for part in parts)
