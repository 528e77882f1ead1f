"""The ways that only reckonings fill a field in: heights, a weight, several figures in one field."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from server.office.forms.field_kinds import Figure, Measured, Way
from server.office.forms.names import Words
from server.office.forms.parse_lengths import MM_PER_CM
from server.office.forms.parse_numbers import UnfitError, without_unit
from server.render.localizer import Speech
from shared_models.core.units import MM_PER_INCH

MOST_FIGURES = 100
_BETWEEN = re.compile(r"[,;]?\s+|;")  # a comma alone may be a decimal one

HEIGHT = Measured(("in", MM_PER_INCH), ("cm", MM_PER_CM), 3_000, whole=False, or_nothing=True)
THICKNESS = Measured(("in", MM_PER_INCH), ("mm", 1.0), 100, whole=False)
MINUTES = Figure(0.1, 10_000, "min")
HOURS = Figure(0.5, 24, "h")
GRAMS = Figure(0.1, 100_000, "g")


def minutes_said(minutes: float, speech: Speech) -> str:
    """A time in minutes."""
    return speech.say("{n} min", n=speech.number(minutes, 2 if minutes < 100 else 0))  # noqa: PLR2004 - enough digits


def of_all(lowest: float, highest: float) -> Figure:
    """A share that is typed in percent, within bounds of its own."""
    return Figure(lowest, highest, "%", of_one=True)


class Weight(Figure):
    """A weight, kept in the unit that people here say."""

    def unit(self, words: Words) -> str:
        """Pounds or kilograms."""
        return "lb" if words.speech.feet else "kg"

    def read(self, typed: str, words: Words) -> Any:
        """As it is."""
        return super().read(without_unit(typed, self.unit(words)), words)


@dataclass(frozen=True, slots=True)
class Listed(Way):
    """Several figures of one kind, with a space between them."""

    each: Way
    least: int = 1

    def unit(self, words: Words) -> str:
        """That of each."""
        return self.each.unit(words)

    def read(self, typed: str, words: Words) -> Any:
        """All of them, in their order."""
        parts = [part for part in _BETWEEN.split(typed) if part]
        if not self.least <= len(parts) <= MOST_FIGURES:
            low, high = words.speech.number(self.least), words.speech.number(MOST_FIGURES)
            raise UnfitError(words.speech.say("write from {low} to {high} numbers", low=low, high=high))
        return tuple(self.each.read(part, words) for part in parts)
