"""The ways that only reckonings fill a field in: heights, a weight, several figures in one field."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from server.office.forms.field_kinds import FieldKind, Figure, Measured
from server.office.forms.names import RecordNames
from server.office.forms.parse_lengths import MM_PER_CM
from server.office.forms.parse_numbers import FieldError, without_unit
from server.render.localizer import Localizer
from shared_models.core.units import MM_PER_INCH

MOST_FIGURES = 100
_BETWEEN = re.compile(r"[,;]?\s+|;")  # a comma alone may be a decimal one

HEIGHT = Measured(("in", MM_PER_INCH), ("cm", MM_PER_CM), 3_000, whole=False, or_nothing=True)
THICKNESS = Measured(("in", MM_PER_INCH), ("mm", 1.0), 100, whole=False)
MINUTES = Figure(0.1, 10_000, "min")
HOURS = Figure(0.5, 24, "h")
GRAMS = Figure(0.1, 100_000, "g")


def minutes_said(minutes: float, localizer: Localizer) -> str:
    """A time in minutes."""
    return localizer.t("{n} min", n=localizer.number(minutes, 2 if minutes < 100 else 0))  # noqa: PLR2004 - enough digits


def of_all(lowest: float, highest: float) -> Figure:
    """A share that is typed in percent, within bounds of its own."""
    return Figure(lowest, highest, "%", of_one=True)


class Weight(Figure):
    """A weight, kept in the unit that people here say."""

    def unit(self, words: RecordNames) -> str:
        """Pounds or kilograms."""
        return "lb" if words.localizer.feet else "kg"

    def read(self, typed: str, words: RecordNames) -> Any:
        """As it is."""
        return super().read(without_unit(typed, self.unit(words)), words)


@dataclass(frozen=True, slots=True)
class Listed(FieldKind):
    """Several figures of one kind, with a space between them."""

    each: FieldKind
    least: int = 1

    def unit(self, words: RecordNames) -> str:
        """That of each."""
        return self.each.unit(words)

    def read(self, typed: str, words: RecordNames) -> Any:
        """All of them, in their order."""
        parts = [part for part in _BETWEEN.split(typed) if part]
        if not self.least <= len(parts) <= MOST_FIGURES:
            low, high = words.localizer.number(self.least), words.localizer.number(MOST_FIGURES)
            raise FieldError(words.localizer.t("write from {low} to {high} numbers", low=low, high=high))
        return tuple(self.each.read(part, words) for part in parts)
