"""What a heading of a pasted table means: a field, and how the cells under it are read."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from server.office.forms.field_kinds import Chosen, FieldKind, Figure, Measured, Warmth, YesNo
from server.office.forms.fields import FIELDS, Field
from server.office.forms.names import RecordNames
from server.office.forms.parse_lengths import MM_PER_CM
from server.office.forms.parse_numbers import FieldError, number_in, without_unit
from shared_models.core.units import MM_PER_FOOT, MM_PER_INCH, MM_PER_METRE, fahrenheit_to_celsius

#: kinds that can come as a table: they name no other record
PASTED_KINDS = ("bed", "sowing", "weather")
_SIZES = {"mm": 1.0, "cm": MM_PER_CM, "m": MM_PER_METRE, "in": MM_PER_INCH, "ft": MM_PER_FOOT}
_YES, _NO = {"yes", "true", "1", "sí", "si", "x"}, {"no", "false", "0"}


@dataclass(frozen=True, slots=True)
class Heading:
    """A column of a pasted table. `told` is how it was written there."""

    told: str
    field: Field
    way: FieldKind


class Degrees(Warmth):
    """A temperature in degrees that the heading names."""

    def __init__(self, *, fahrenheit: bool) -> None:
        self._fahrenheit = fahrenheit

    def read(self, typed: str, words: RecordNames) -> Any:
        """In °C."""
        degrees = "F" if self._fahrenheit else "C"
        number = number_in(without_unit(typed, f"°{degrees}", degrees), words.localizer)
        return round(fahrenheit_to_celsius(number), 4) if self._fahrenheit else number


class InWords(Chosen):
    """One of the trade's words, as it is stored or as it is called here."""

    def read(self, typed: str, words: RecordNames) -> Any:
        """The stored word."""
        said = {words.localizer.t(text).casefold(): str(word) for word, text in self.words.items()}
        said |= {str(word): str(word) for word in self.words}
        found = said.get(typed.casefold())
        if found is None:
            choices = ", ".join(sorted({str(word) for word in self.words}))
            raise FieldError(words.localizer.t("write one of: {choices}", choices=choices))
        return found


class InAnyWord(YesNo):
    """Yes or no, in any of the words that spreadsheets have for it."""

    def read(self, typed: str, words: RecordNames) -> Any:
        """True or false."""
        word = typed.casefold()
        if word not in _YES | _NO:
            raise FieldError(words.localizer.t("write yes or no"))
        return word in _YES


def heading(kind: str, told: str, words: RecordNames) -> Heading | None:
    """The column that a heading names: by its stored name, by that with another unit, or by what the forms call it.

    Under what the forms call it, cells are in the farm's units.
    """
    found = _headings(kind, words).get(_plain(told))
    return None if found is None else Heading(told, *found)


def _plain(told: str) -> str:
    return " ".join(re.sub(r"[_()]", " ", told).split()).casefold()


def _headings(kind: str, words: RecordNames) -> Mapping[str, tuple[Field, FieldKind]]:
    found: dict[str, tuple[Field, FieldKind]] = {}
    for field in FIELDS[kind]:
        way = field.way
        stored = way
        if isinstance(way, Measured):
            root = field.name.removesuffix("_mm")
            for unit, size in _SIZES.items():
                found[_plain(f"{root}_{unit}")] = field, replace(way, feet=(unit, size), metres=(unit, size))
            stored = replace(way, feet=("mm", 1.0), metres=("mm", 1.0))
        elif isinstance(way, Warmth):
            root = field.name.removesuffix("_c")
            found[_plain(f"{root}_f")] = field, Degrees(fahrenheit=True)
            stored = Degrees(fahrenheit=False)
        elif isinstance(way, Figure) and way.of_one:
            stored = replace(way, highest=1, sign="", of_one=False)
        elif isinstance(way, Chosen):
            way = stored = InWords(way.words)
        elif isinstance(way, YesNo):
            way = stored = InAnyWord()
        for label in {field.label, words.localizer.t(field.label)}:
            found.setdefault(_plain(label), (field, way))
            unit = way.unit(words)
            if unit:
                found.setdefault(_plain(f"{label} {unit}"), (field, way))
        found[_plain(field.name)] = field, stored
    return found


def names_of(kind: str, words: RecordNames) -> list[tuple[str, str]]:
    """How the columns of a kind can be headed, each with what stands in it."""
    return [(column_name(field, words), _meaning(field, words)) for field in FIELDS[kind]]


def column_name(field: Field, words: RecordNames) -> str:
    """How the column of a field is headed, in the units of the farm."""
    if words.localizer.feet and isinstance(field.way, Measured):
        return f"{field.name.removesuffix('_mm')}_{field.way.feet[0]}"
    if words.localizer.feet and isinstance(field.way, Warmth):
        return f"{field.name.removesuffix('_c')}_f"
    return field.name


def _meaning(field: Field, words: RecordNames) -> str:
    called = words.localizer.t(field.label)
    if isinstance(field.way, Measured):
        return called
    if isinstance(field.way, Chosen):
        return f"{called} ({'; '.join(words.localizer.t(text) for text in field.way.words.values())})"
    unit = "0–1" if isinstance(field.way, Figure) and field.way.of_one else field.way.unit(words)
    return f"{called} ({unit})" if unit else called
