"""Headings of a pasted table: the field that each names, and how the cells under it are parsed."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from typing_extensions import override

from server.office.forms.field_kinds import Chosen, FieldKind, Number, YesNo
from server.office.forms.fields import FIELDS, Field
from server.office.forms.names import RecordNames
from server.office.forms.parse_numbers import FieldError
from shared_models.core.units import MM_PER_FOOT, MM_PER_INCH, MM_PER_METRE
from shared_models.fields.quantities import MM_PER_CM, SHARE, TEMPERATURE, Unit, plain

#: kinds that can come as a table: they name no other record
PASTED_KINDS = ("bed", "sowing", "weather")
_LENGTHS = (Unit("cm", MM_PER_CM), Unit("m", MM_PER_METRE), Unit("in", MM_PER_INCH), Unit("ft", MM_PER_FOOT))
_YES, _NO = {"yes", "true", "1", "sí", "si", "x"}, {"no", "false", "0"}


@dataclass(frozen=True, slots=True)
class Heading:
    """A column of a pasted table, and its heading as it was pasted."""

    text: str
    field: Field
    kind: FieldKind


class InWords(Chosen):
    """One of a vocabulary, by the stored word or its label."""

    @override
    def parse(self, typed: str, names: RecordNames) -> Any:
        words = {names.localizer.t(label).casefold(): str(word) for word, label in self.labels.items()}
        words |= {str(word): str(word) for word in self.labels}
        found = words.get(typed.casefold())
        if found is None:
            choices = ", ".join(sorted({str(word) for word in self.labels}))
            raise FieldError(names.localizer.t("enter one of: {choices}", choices=choices))
        return found


class InAnyWord(YesNo):
    """Yes or no, in any of the words that spreadsheets have for it."""

    @override
    def parse(self, typed: str, names: RecordNames) -> Any:
        word = typed.casefold()
        if word not in _YES | _NO:
            raise FieldError(names.localizer.t("enter yes or no"))
        return word in _YES


def heading(kind: str, text: str, names: RecordNames) -> Heading | None:
    """The column of a heading: a field's stored name, that with another unit, or its label.

    Under a label, cells are in the farm's units.
    """
    found = _headings(kind, names).get(_plain(text))
    return None if found is None else Heading(text, *found)


def _plain(text: str) -> str:
    return " ".join(re.sub(r"[_()]", " ", text).split()).casefold()


def _headings(kind: str, names: RecordNames) -> Mapping[str, tuple[Field, FieldKind]]:
    found: dict[str, tuple[Field, FieldKind]] = {}
    for field in FIELDS[kind]:
        labelled = _of_words(field.kind)
        found |= {_plain(name): (field, by_name) for name, by_name in _by_name(field, labelled)}
        unit = labelled.unit(names)
        for label in {field.label, names.localizer.t(field.label)}:
            found.setdefault(_plain(label), (field, labelled))
            if unit:
                found.setdefault(_plain(f"{label} {unit}"), (field, labelled))
    return found


def _of_words(kind: FieldKind) -> FieldKind:
    if isinstance(kind, Chosen):
        return InWords(kind.labels)
    return InAnyWord() if isinstance(kind, YesNo) else kind


def _by_name(field: Field, kind: FieldKind) -> Iterable[tuple[str, FieldKind]]:
    """The stored name, and those that end in another unit, each with its own unit whatever the farm's."""
    if isinstance(kind, Number) and kind.quantity.is_length:
        root = field.name.removesuffix("_mm")
        yield from ((f"{root}_{unit.name}", _in_unit(kind, unit)) for unit in _LENGTHS)
        yield field.name, _in_unit(kind, Unit("mm"))
    elif isinstance(kind, Number) and kind.quantity is TEMPERATURE:
        yield f"{field.name.removesuffix('_c')}_f", _in_unit(kind, TEMPERATURE.feet)
        yield field.name, _in_unit(kind, TEMPERATURE.metres)
    elif isinstance(kind, Number) and kind.quantity is SHARE:
        yield field.name, replace(kind, quantity=plain())
    else:
        yield field.name, kind


def _in_unit(kind: Number, unit: Unit) -> Number:
    return replace(kind, quantity=replace(kind.quantity, feet=unit, metres=unit))


def names_of(kind: str, names: RecordNames) -> list[tuple[str, str]]:
    """How the columns of a kind can be headed, each with what stands in it."""
    return [(column_name(field, names), _meaning(field, names)) for field in FIELDS[kind]]


def column_name(field: Field, names: RecordNames) -> str:
    """How the column of a field is headed, in the units of the farm."""
    if names.localizer.feet and isinstance(field.kind, Number) and field.kind.quantity.is_length:
        return f"{field.name.removesuffix('_mm')}_{field.kind.quantity.feet.name}"
    if names.localizer.feet and isinstance(field.kind, Number) and field.kind.quantity is TEMPERATURE:
        return f"{field.name.removesuffix('_c')}_f"
    return field.name


def _meaning(field: Field, names: RecordNames) -> str:
    label = names.localizer.t(field.label)
    if isinstance(field.kind, Chosen):
        return f"{label} ({'; '.join(names.localizer.t(each) for each in field.kind.labels.values())})"
    if isinstance(field.kind, Number) and field.kind.quantity.is_length:
        return label
    unit = "0–1" if isinstance(field.kind, Number) and field.kind.quantity is SHARE else field.kind.unit(names)
    return f"{label} ({unit})" if unit else label
