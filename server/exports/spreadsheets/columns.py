"""The columns of every kind of record, from the field catalog; found by their names, so their order is no promise."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from server.exports.spreadsheets.column_docs import MEANINGS
from shared_models.fields.catalog import Field, FieldType, fields_of
from shared_models.fields.quantities import PERCENT, SHARE, TEMPERATURE, Quantity
from shared_models.records.models import KINDS

_STORED_IN: Mapping[Quantity, str] = {TEMPERATURE: ", in °C", PERCENT: ", 0 to 100 percent", SHARE: ", 0 to 1"}


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its type, the words it may hold where these are few, and whether a record must have it.

    `private` is for the office only.
    """

    name: str
    type: FieldType
    words: tuple[str, ...]
    required: bool
    default: Any
    private: bool
    meaning: str


@cache
def columns_of(kind: str) -> tuple[Column, ...]:
    """The columns of a kind: the id, its fields, and `voided` at the end."""
    names = sorted(KINDS[kind].model_fields, key=lambda name: name == "voided")
    own_id = Column("id", FieldType.ID, (), True, None, False, "Id of the record, a UUID.")
    return (own_id, *(_column(kind, name) for name in names))


def shown_columns(kind: str, *, private: bool) -> tuple[Column, ...]:
    """The columns that somebody may see who may, or may not, see what is for the office only."""
    return tuple(column for column in columns_of(kind) if private or not column.private)


def _column(kind: str, name: str) -> Column:
    field = fields_of(kind)[name]
    meaning = MEANINGS.get(kind, {}).get(name) or MEANINGS[""].get(name) or _label(field)
    words = tuple(str(word) for word in field.choices)
    return Column(name, field.type, words, field.required, field.default, field.private, meaning)


def _label(field: Field) -> str:
    """The label with the unit of what is stored; nothing for an internal field."""
    unit = _STORED_IN.get(field.quantity, "")
    if field.type is FieldType.TIME:
        unit = ", in UTC"
    elif field.quantity.is_length:
        unit = ", in millimeters"
    return f"{field.label}{unit}." if field.label else ""
