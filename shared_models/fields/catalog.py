"""The table of fields by kind: labels, quantities and hints stated here; types, bounds and choices from the models."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Any, NamedTuple

from pydantic import TypeAdapter

from shared_models.fields.quantities import (
    COUNT,
    DEGREES,
    DEPTH,
    LENGTH,
    METRES,
    MONEY,
    PERCENT,
    SHARE,
    SPACING,
    TEMPERATURE,
    WATER,
    WIDTH,
    Quantity,
)
from shared_models.i18n.labels import LABELS
from shared_models.records.models import KINDS


class FieldType(StrEnum):
    """What a value is, as the documentation of exported tables calls it."""

    TEXT = "text"
    ID = "id"
    WHOLE = "whole number"
    NUMBER = "number"
    YES_NO = "yes or no"
    DAY = "day"
    TIME = "time"
    LIST = "list"
    TABLE = "table"


class Text(NamedTuple):
    """What people read of a field. One without a label is internal: no form has it."""

    label: str = ""
    quantity: Quantity = COUNT
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Field:
    """A field of a kind. `low` and `high` bound the stored number; with `above`, `low` itself is too little.

    `required` fields have no default. `nullable` ones may be unset. `longest` is the most letters of a text,
    or items of a list.
    `private` fields are for the office only.
    """

    name: str
    label: str
    quantity: Quantity
    hint: str
    type: FieldType
    choices: Mapping[Any, str]
    low: float
    high: float
    above: bool
    longest: int
    default: Any
    required: bool
    nullable: bool
    private: bool


#: fields by kind that go to no phone
OFFICE_ONLY: Mapping[str, frozenset[str]] = {"person": frozenset({"wage_per_hour"}), "farm": frozenset({"prices"})}
#: fields that hold the id of another record
REFERENCES = frozenset({"bed", "sowing", "planting"})

_NOTE = {"note": Text("Note")}
_TEXTS: Mapping[str, Mapping[str, Text]] = {
    "row_pass": {
        "planting": Text("Planting"),
        "row": Text("Row"),
        "started_at": Text("Start"),
        "ended_at": Text("End"),
        "length_mm": Text("Length", LENGTH),
        "crew": Text("Crew"),
        "misses": Text("Misses"),
        "filled": Text("Filled"),
        "doubles": Text("Doubles"),
        "stops": Text("Stops"),
        "depth_notch": Text("Depth notch"),
        "depth_mm": Text("Measured depth", DEPTH),
        **_NOTE,
        "start_latitude": Text("Start: latitude", DEGREES),
        "start_longitude": Text("Start: longitude", DEGREES),
        "start_accuracy_m": Text("Start: accurate to", METRES),
        "end_latitude": Text("End: latitude", DEGREES),
        "end_longitude": Text("End: longitude", DEGREES),
        "end_accuracy_m": Text("End: accurate to", METRES),
    },
    "soil_check": {
        "bed": Text("Bed"),
        "at": Text("Checked at"),
        "feel": Text("Feel"),
        "residue_pct": Text("Residue", PERCENT),
        "stones": Text("Stones"),
        "clods": Text("Clods"),
        "tilled_at": Text("Tilled"),
        "soil_c": Text("Soil temperature", TEMPERATURE),
        "photo": Text("Picture", hint="Its name on the phone."),
        **_NOTE,
    },
    "stand_count": {
        "planting": Text("Planting"),
        "row": Text("Row"),
        "at": Text("Counted at"),
        "sample_length_mm": Text("Length counted", LENGTH),
        "plants": Text("Plants"),
        "positions_mm": Text("Places on the tape", WIDTH),
        **_NOTE,
    },
    "tray_check": {
        "sowing": Text("Sowing"),
        "on": Text("Day"),
        "cells_seen": Text("Cells checked"),
        "cells_empty": Text("Empty"),
        "leaves": Text("Leaves"),
        "roots_hold": Text("Roots hold"),
        **_NOTE,
    },
    "planting": {"bed": Text("Bed"), "sowing": Text("Sowing"), "planned_on": Text("Planned for"), **_NOTE},
    "sowing": {
        "crop": Text("Crop"),
        "variety": Text("Variety"),
        "code": Text("Code", hint="What is written on the trays."),
        "spacing_mm": Text("Spacing", SPACING, "In the row: from cell to cell of the chain, pulled out."),
        "sown_on": Text("Sown"),
        "trays": Text("Trays"),
        "cells_per_tray": Text("Cells in a tray"),
        "seeds_per_cell": Text("Seeds in a cell"),
        "seed_lot": Text("Seed lot"),
        "supplier": Text("Supplier"),
        "label_germination": Text("Germination on the label", SHARE),
        "mix_screened": Text("Mix screened"),
        "ready_from": Text("Ready from"),
        "ready_until": Text("Ready until"),
    },
    "bed": {
        "name": Text("Name"),
        "block": Text("Block"),
        "length_mm": Text("Length", LENGTH),
        "rows": Text("Rows"),
        "row_spacing_mm": Text("Between rows", WIDTH),
        "bed_spacing_mm": Text("Between beds", WIDTH, "From the middle of one to the middle of the next."),
        "texture": Text("Soil"),
        "retired": Text("No longer planted"),
        "latitude": Text("Latitude", DEGREES),
        "longitude": Text("Longitude", DEGREES),
    },
    "person": {
        "name": Text("Name"),
        "role": Text("Role"),
        "wage_per_hour": Text("Hourly wage", MONEY, "Only owners see it. It is sent to no phone."),
    },
    "weather": {
        "on": Text("Day"),
        "rain_mm": Text("Rain", WATER),
        "irrigation_mm": Text("Irrigation", WATER),
        "t_min_c": Text("Coldest", TEMPERATURE),
        "t_max_c": Text("Warmest", TEMPERATURE),
        "humidity_pct": Text("Humidity", PERCENT),
    },
    "farm": {
        "name": Text("Name"),
        "zone": Text("Time zone", hint="It decides on which day and in which hour something happened."),
        "units": Text("Units of length"),
        "latitude": Text("Latitude", DEGREES, "To estimate how fast beds dry, and to know your side of the equator."),
        "longitude": Text("Longitude", DEGREES),
        "plug_tray_plants_per_person_hour": Text(
            "Plants from plug trays, set by hand", MONEY, "How many one person sets in an hour, to compare with."
        ),
    },
}
_TYPES = {
    "integer": FieldType.WHOLE,
    "number": FieldType.NUMBER,
    "boolean": FieldType.YES_NO,
    "array": FieldType.LIST,
    "object": FieldType.TABLE,
    "date": FieldType.DAY,
    "date-time": FieldType.TIME,
}
_EMPTY: Mapping[FieldType, Any] = {FieldType.LIST: [], FieldType.TABLE: {}}
_CHOICES = {vocabulary.__name__: labels for vocabulary, labels in LABELS.items()}


@cache
def fields_of(kind: str) -> Mapping[str, Field]:
    """The fields of a kind by name: labeled ones in the order of a form, then the internal ones."""
    if kind not in KINDS:
        return {}
    schema = TypeAdapter(KINDS[kind]).json_schema()
    names = dict.fromkeys((*_TEXTS[kind], *schema["properties"]))
    return {name: _field(kind, name, schema) for name in names}


def _field(kind: str, name: str, schema: Mapping[str, Any]) -> Field:
    text, stated = _TEXTS[kind].get(name, Text()), schema["properties"][name]
    variants = stated.get("anyOf", (stated,))
    value = next(each for each in variants if each.get("type") != "null")
    choices = _CHOICES.get(value.get("$ref", "").rpartition("/")[2], {})
    of_type = _TYPES.get(value.get("format", value.get("type")), FieldType.TEXT)
    return Field(
        name=name,
        label=text.label,
        quantity=text.quantity,
        hint=text.hint,
        type=FieldType.ID if name in REFERENCES else of_type,
        choices=choices,
        low=value.get("minimum", value.get("exclusiveMinimum", float("-inf"))),
        high=value.get("maximum", float("inf")),
        above="exclusiveMinimum" in value,
        longest=value.get("maxLength", value.get("maxItems", 0)),
        default=stated.get("default", _EMPTY.get(of_type)),
        required=name in schema.get("required", ()),
        nullable=len(variants) > 1,
        private=name in OFFICE_ONLY.get(kind, ()),
    )


def label_of(kind: str, name: str) -> str:
    """The label of a field of a kind (of any kind, where it is ""); the name of an unknown or internal one."""
    kinds = (kind,) if kind in KINDS else _TEXTS
    labels = (texts[name].label for each in kinds if name in (texts := _TEXTS[each]))
    return next(labels, name.replace("_", " "))
