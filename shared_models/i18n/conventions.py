"""How a language writes numbers, dates and times in a country: a small table out of Unicode's CLDR.

`python -m tests.shared_models.i18n.cldr` writes conventions.json anew.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import tzinfo
from functools import cache
from importlib.resources import files
from typing import Any

LANGUAGES = {"en": "English", "es": "Español"}
#: where the farm's country is not known, or is none that we know the conventions of
USUAL_COUNTRY = "US"


@dataclass(frozen=True, slots=True)
class Conventions:
    """Marks, patterns and names. Date and time patterns are those of CLDR (UTS 35); weeks begin on Monday."""

    point: str
    thousands: str
    percent: str
    month_day: str
    date: str
    full_date: str
    #: the order in which a date is typed in figures, as in "mdy"
    typed_date: str
    time: str
    time_with_seconds: str
    half_days: tuple[str, str]
    months: tuple[str, ...]
    short_months: tuple[str, ...]
    weekdays: tuple[str, ...]


@cache
def conventions(language: str, country: str = USUAL_COUNTRY) -> Conventions:
    """The conventions of a language in a country; those of the US where the table lacks it."""
    table = _table()
    values = table[f"{language}-{USUAL_COUNTRY}"] | table.get(f"{language}-{country}", {})
    fields: dict[str, Any] = {
        name: tuple(value) if isinstance(value, list) else value for name, value in values.items()
    }
    return Conventions(**fields)


def country_of(zone: tzinfo) -> str:
    """The country (ISO 3166) that a time zone of the IANA database lies in; for UTC and old names, the US."""
    return _countries().get(str(zone), USUAL_COUNTRY)


@cache
def _table() -> dict[str, dict[str, Any]]:
    table: dict[str, dict[str, Any]] = json.loads(files(__package__).joinpath("conventions.json").read_text("utf-8"))
    return table


@cache
def _countries() -> Mapping[str, str]:
    """Zone -> country, from the time zone database's own table: columns are country, place, zone, comments."""
    lines = files("tzdata").joinpath("zoneinfo", "zone.tab").read_text("utf-8").splitlines()
    rows = (line.split("\t") for line in lines if line and not line.startswith("#"))
    return {row[2]: row[0] for row in rows}
