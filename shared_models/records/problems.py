"""What can be wrong with the fields of a record: our rules, and pydantic's errors in plain words, by code."""

from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from pydantic_core import PydanticCustomError

from shared_models.lazy_message import LazyMessage


class Rule(NamedTuple):
    """A rule of ours: its template; where it is about more than one field, the one it stands beside and the others."""

    template: str
    field: str = ""
    others: tuple[str, ...] = ()


RULES: Mapping[str, Rule] = {
    "readiness-window": Rule("the readiness window ends before it starts", "ready_until", ("ready_from",)),
    "empty-cells": Rule("more cells are empty than were checked", "cells_empty", ("cells_seen",)),
    "row-times": Rule("the row ends before it starts", "ended_at", ("started_at",)),
    "stop-times": Rule("a stop ends before it starts", "stops"),
    "filled-misses": Rule("more misses were filled than were logged", "filled", ("misses",)),
    "sample-end": Rule("a plant is past the end of the sample", "positions_mm", ("sample_length_mm",)),
    "coldest-warmest": Rule("the warmest temperature is below the coldest", "t_max_c", ("t_min_c",)),
    "time-zone": Rule("must be a time zone of the IANA list, such as America/New_York"),
    "characters": Rule("has a character that cannot be stored"),
    "years": Rule("must be in the years {first} to {last}"),
    "calendar": Rule("is outside the calendar"),
}
#: pydantic's error types by what we say of them, with pydantic's own names of the values
_PYDANTIC: Mapping[str, tuple[str, ...]] = {
    "must be filled in": ("missing",),
    "must be more than {gt}": ("greater_than",),
    "must be at least {ge}": ("greater_than_equal",),
    "must be less than {lt}": ("less_than",),
    "must be at most {le}": ("less_than_equal",),
    "must be a whole number": ("int_type", "int_parsing", "int_parsing_size", "int_from_float"),
    "must be a number": ("float_type", "float_parsing", "finite_number"),
    "must be text": ("string_type", "string_unicode"),
    "must have at least {min_length} letters": ("string_too_short",),
    "must have at most {max_length} letters": ("string_too_long",),
    "must be the id of a record": ("string_pattern_mismatch",),
    "must be yes or no": ("bool_type", "bool_parsing"),
    "must be a date, such as 2026-05-14": (
        *("date_type", "date_parsing", "date_from_datetime_parsing", "date_from_datetime_inexact"),
    ),
    "must be a time with its zone, such as 2026-05-14T08:00:00Z": (
        *("datetime_type", "datetime_parsing", "datetime_from_date_parsing", "datetime_object_invalid"),
        *("timezone_aware", "timezone_offset"),
    ),
    "must be one of {expected}": ("enum", "literal_error"),
    "must be a list": ("list_type",),
    "must have at most {max_length} entries": ("too_long",),
    "must be a table of fields": ("dict_type", "model_type", "dataclass_type"),
}
NOT_VALID = "is not valid"
TEMPLATES: Mapping[str, str] = {
    **{kind: template for template, kinds in _PYDANTIC.items() for kind in kinds},
    **{code: rule.template for code, rule in RULES.items()},
}
"""Every template by its code."""


def broken(code: str, **values: Any) -> PydanticCustomError:
    """Make the error that a validator raises when a rule is broken."""
    return PydanticCustomError(code, RULES[code].template, values)


def problems_of(errors: Iterable[Mapping[str, Any]]) -> dict[str, LazyMessage]:
    """Turn pydantic's errors into messages by field; those of the entry as a whole are under "entry"."""
    return {".".join(map(str, error["loc"])) or "entry": problem_of(error) for error in errors}


def problem_of(error: Mapping[str, Any]) -> LazyMessage:
    """Turn one of pydantic's errors into a message."""
    values = {
        name: _plain(value) for name, value in error.get("ctx", {}).items() if isinstance(value, str | int | float)
    }
    if "expected" in values:
        values["expected"] = str(values["expected"]).replace(" or ", ", ")  # pydantic's list is English
    return LazyMessage(TEMPLATES.get(error["type"], NOT_VALID), code=error["type"], **values)


def _plain(value: str | float) -> str | float:
    return int(value) if isinstance(value, float) and value.is_integer() else value


def field_beside(name: str, problem: LazyMessage) -> str:
    """Name the field that a problem stands beside."""
    rule = RULES.get(problem.code)
    return (rule.field if rule else "") or name.partition(".")[0]


def is_rule(problem: LazyMessage) -> bool:
    """Whether a problem is a broken rule about more than one field; its message stands by itself."""
    return problem.code in RULES and bool(RULES[problem.code].field)


def bound_fields(problem: LazyMessage) -> tuple[str, ...]:
    """Name every field that a broken rule binds; nothing for a problem of one field."""
    return (RULES[problem.code].field, *RULES[problem.code].others) if is_rule(problem) else ()
