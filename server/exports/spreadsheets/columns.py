"""The columns of every kind of record, as its field model says; found by their names, so their order is no promise."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from pydantic import TypeAdapter

from server.exports.spreadsheets.cells import Form
from server.exports.spreadsheets.column_docs import MEANINGS
from server.farms.edits import OFFICE_ONLY
from shared_models.records.models import KINDS

_FORMS = {
    "integer": Form.WHOLE,
    "number": Form.NUMBER,
    "boolean": Form.YES_NO,
    "array": Form.LIST,
    "object": Form.TABLE,
    "date": Form.DAY,
    "date-time": Form.TIME,
}
_EMPTY: Mapping[Form, Any] = {Form.LIST: [], Form.TABLE: {}}
#: fields that hold the id of another record
_REFERENCES = {"bed", "sowing", "planting"}


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its form, the words it may hold where these are few, and whether a record must have it.

    `private` is for the office only.
    """

    name: str
    form: Form
    words: tuple[str, ...]
    required: bool
    default: Any
    private: bool
    meaning: str


@cache
def columns_of(kind: str) -> tuple[Column, ...]:
    """The columns of a kind: the id, its fields, and `voided` at the end."""
    schema = TypeAdapter(KINDS[kind]).json_schema()
    names = [*(name for name in schema["properties"] if name != "voided"), "voided"]
    own_id = Column("id", Form.ID, (), True, None, False, "Id of the record, a UUID.")
    return (own_id, *(_column(kind, name, schema) for name in names))


def shown_columns(kind: str, *, private: bool) -> tuple[Column, ...]:
    """The columns that somebody may see who may, or may not, see what is for the office only."""
    return tuple(column for column in columns_of(kind) if private or not column.private)


def _column(kind: str, name: str, schema: Mapping[str, Any]) -> Column:
    told = schema["properties"][name]
    some = next((each for each in told.get("anyOf", ()) if each.get("type") != "null"), told)
    words = _words(some, schema)
    form = Form.TEXT if words else _FORMS.get(some.get("format", some.get("type")), Form.TEXT)
    return Column(
        name=name,
        form=Form.ID if name in _REFERENCES else form,
        words=words,
        required=name in schema.get("required", ()),
        default=told.get("default", _EMPTY.get(form)),
        private=name in OFFICE_ONLY.get(kind, frozenset()),
        meaning=MEANINGS.get(kind, {}).get(name) or MEANINGS[""].get(name, ""),
    )


def _words(told: Mapping[str, Any], schema: Mapping[str, Any]) -> tuple[str, ...]:
    reference = told.get("$ref", "").rpartition("/")[2]
    return tuple(schema["$defs"][reference].get("enum", ())) if reference else ()
