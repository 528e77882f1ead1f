"""The kinds of record: what fields each has and what makes an entry valid.

These models validate. The tables that hold folded records are in `tables.py`.
"""

from dataclasses import dataclass
from typing import Self
from zoneinfo import available_timezones

from pydantic import BaseModel, ConfigDict, field_validator, model_validator
from sqlalchemy import JSON, BigInteger, String
from sqlmodel import Field

from shared_models.core.fold import Units
from shared_models.core.moments import Moment, runs_backwards
from shared_models.core.vocabulary import Amount, Feel, LengthUnits, Role, StopReason, Texture
from shared_models.records.field_types import (
    BootMs,
    Celsius,
    Count,
    Day,
    Figure,
    Id,
    Latitude,
    LengthMm,
    Longitude,
    Metres,
    Millimetres,
    Money,
    Name,
    Note,
    Percent,
    Proportion,
    RowNumber,
    SoilCelsius,
    SpacingMm,
    Utc,
    UtcDateTime,
    Words,
)
from shared_models.records.problems import broken


class Fields(BaseModel, use_enum_values=True, validate_default=True):
    """What every record has. Fields a newer program added are left out here and stay in the log.

    Plain pydantic, which validates in half of SQLModel's time; the tables add SQLModel (`tables.py`).
    """

    voided: bool = False


class FarmFields(Fields):
    """The farm itself; its record's id is the farm's id. Prices are in the office-only log."""

    name: Name
    zone: str = "UTC"
    latitude: Latitude | None = None
    longitude: Longitude | None = None
    units: LengthUnits = Field(default=LengthUnits.FEET, sa_type=String)
    thresholds: dict[Words, Figure] = Field(default_factory=dict, sa_type=JSON)
    prices: dict[Words, Figure] = Field(default_factory=dict, sa_type=JSON)
    plug_tray_plants_per_person_hour: Money | None = None

    @field_validator("zone")
    @classmethod
    def _known_zone(cls, zone: str) -> str:
        if zone not in available_timezones():
            raise broken("time-zone")
        return zone


class PersonFields(Fields):
    """A person who works on the farm. The wage is in the office-only log."""

    name: Name
    role: Role = Field(default=Role.CREW, sa_type=String)
    wage_per_hour: Money | None = None


class BedFields(Fields):
    """A bed: where rows are planted."""

    name: Name
    block: Words = ""
    length_mm: LengthMm
    rows: RowNumber
    row_spacing_mm: LengthMm | None = None
    bed_spacing_mm: LengthMm | None = None
    texture: Texture | None = Field(default=None, sa_type=String)
    latitude: Latitude | None = None
    longitude: Longitude | None = None
    retired: bool = False


class SowingFields(Fields):
    """Trays of one crop sown together."""

    code: Words = ""
    crop: Name
    variety: Words = ""
    seed_lot: Words = ""
    supplier: Words = ""
    sown_on: Day | None = None
    trays: Count | None = None
    cells_per_tray: Count = 264
    spacing_mm: SpacingMm
    seeds_per_cell: Count = 1
    label_germination: Proportion | None = None
    mix_screened: bool | None = None
    ready_from: Day | None = None
    ready_until: Day | None = None

    @model_validator(mode="after")
    def _window_in_order(self) -> Self:
        if self.ready_from and self.ready_until and self.ready_until < self.ready_from:
            raise broken("readiness-window")
        return self


class TrayCheckFields(Fields):
    """A check of a sowing's trays before planting."""

    sowing: Id
    on: Day
    cells_seen: Count
    cells_empty: Count
    leaves: Count | None = None
    roots_hold: bool | None = None
    note: Note = ""

    @model_validator(mode="after")
    def _empty_among_seen(self) -> Self:
        if self.cells_empty > self.cells_seen:
            raise broken("empty-cells")
        return self


class PlantingFields(Fields):
    """One crop set into one bed."""

    bed: Id
    sowing: Id
    planned_on: Day | None = None
    note: Note = ""


@dataclass(frozen=True, slots=True)
class StopMoment(Moment):
    """A moment within a stop, under the same rules as a row's own."""

    at: Utc
    boot: Words = ""
    boot_ms: BootMs = 0


class StopEntry(BaseModel):
    """A stop within a row, from one moment until another (or still going on)."""

    model_config = ConfigDict(use_enum_values=True)

    reason: StopReason
    began: StopMoment
    ended: StopMoment | None = None


class RowPassFields(Fields):
    """One pull of the chain down one row."""

    planting: Id
    row: RowNumber
    started_at: Utc = Field(sa_type=UtcDateTime)
    started_boot: Words | None = None
    started_boot_ms: BootMs | None = Field(default=None, sa_type=BigInteger)
    ended_at: Utc | None = Field(default=None, sa_type=UtcDateTime)
    ended_boot: Words | None = None
    ended_boot_ms: BootMs | None = Field(default=None, sa_type=BigInteger)
    length_mm: LengthMm
    crew: list[Id] = Field(default_factory=list, max_length=50, sa_type=JSON)
    stops: list[StopEntry] = Field(default_factory=list, max_length=100, sa_type=JSON)
    misses: Count = 0
    doubles: Count = 0
    filled: Count = 0
    depth_notch: Count | None = None
    depth_mm: LengthMm | None = None
    start_latitude: Latitude | None = None
    start_longitude: Longitude | None = None
    start_accuracy_m: Metres | None = None
    end_latitude: Latitude | None = None
    end_longitude: Longitude | None = None
    end_accuracy_m: Metres | None = None
    note: Note = ""

    @property
    def started(self) -> Moment:
        return Moment(self.started_at, self.started_boot or "", self.started_boot_ms or 0)

    @property
    def ended(self) -> Moment | None:
        return None if self.ended_at is None else Moment(self.ended_at, self.ended_boot or "", self.ended_boot_ms or 0)

    @property
    def stop_entries(self) -> list[StopEntry]:
        """The stops as entries; a row read from its table holds them as plain JSON."""
        return [StopEntry.model_validate(stop) for stop in self.stops]

    @model_validator(mode="after")
    def _possible(self) -> Self:
        if self.ended is not None and runs_backwards(self.started, self.ended):
            raise broken("row-times")
        for stop in self.stops:
            if stop.ended is not None and runs_backwards(stop.began, stop.ended):
                raise broken("stop-times")
        if self.filled > self.misses:
            raise broken("filled-misses")
        return self


class SoilCheckFields(Fields):
    """A check of a bed's soil. What was not checked stays empty."""

    bed: Id
    at: Utc = Field(sa_type=UtcDateTime)
    feel: Feel | None = Field(default=None, sa_type=String)
    residue_pct: Percent | None = None
    stones: Amount | None = Field(default=None, sa_type=String)
    clods: Amount | None = Field(default=None, sa_type=String)
    tilled_at: Utc | None = Field(default=None, sa_type=UtcDateTime)
    soil_c: SoilCelsius | None = None
    photo: Words = ""
    note: Note = ""


class StandCountFields(Fields):
    """Living plants counted along a measured length of row; optionally each plant's place on a tape."""

    planting: Id
    at: Utc = Field(sa_type=UtcDateTime)
    row: RowNumber
    sample_length_mm: LengthMm
    plants: Count
    positions_mm: list[Count] = Field(default_factory=list, max_length=2000, sa_type=JSON)
    note: Note = ""

    @model_validator(mode="after")
    def _on_the_tape(self) -> Self:
        if any(place > self.sample_length_mm for place in self.positions_mm):
            raise broken("sample-end")
        return self


class WeatherFields(Fields):
    """One day's weather and water on the farm."""

    on: Day
    rain_mm: Millimetres | None = None
    irrigation_mm: Millimetres | None = None
    t_min_c: Celsius | None = None
    t_max_c: Celsius | None = None
    humidity_pct: Percent | None = None

    @model_validator(mode="after")
    def _warmer_than_coldest(self) -> Self:
        if self.t_min_c is not None and self.t_max_c is not None and self.t_max_c < self.t_min_c:
            raise broken("coldest-warmest")
        return self


KINDS: dict[str, type[Fields]] = {
    "farm": FarmFields,
    "person": PersonFields,
    "bed": BedFields,
    "sowing": SowingFields,
    "tray_check": TrayCheckFields,
    "planting": PlantingFields,
    "row_pass": RowPassFields,
    "soil_check": SoilCheckFields,
    "stand_count": StandCountFields,
    "weather": WeatherFields,
}
"""Every kind this program knows."""


def _whole(*groups: tuple[str, ...]) -> Units:
    return {name: group for group in groups for name in group}


RULES_VERSION = 4
"""Counts changes of rules, defaults and units: a store whose records were folded under others folds them again."""

UNITS: dict[str, Units] = {
    "farm": _whole(("latitude", "longitude")),
    "bed": _whole(("latitude", "longitude")),
    "sowing": _whole(("ready_from", "ready_until")),
    "tray_check": _whole(("cells_seen", "cells_empty")),
    "row_pass": _whole(
        ("started_at", "started_boot", "started_boot_ms"),
        ("ended_at", "ended_boot", "ended_boot_ms"),
        ("start_latitude", "start_longitude", "start_accuracy_m"),
        ("end_latitude", "end_longitude", "end_accuracy_m"),
    ),
    "stand_count": _whole(("sample_length_mm", "plants", "positions_mm")),
    "weather": _whole(("t_min_c", "t_max_c")),
}
"""Fields that are only ever set together, by kind: those that say one thing, and those that one rule binds.

Apart stay a row's start and end, and its misses and filled ones: they are set at different times, often on two phones.
"""


def moment_fields(name: str, moment: Moment) -> dict[str, str | int]:
    """The three fields of a moment's unit: `started` -> started_at, started_boot, started_boot_ms."""
    return {
        f"{name}_at": moment.at.isoformat(),
        f"{name}_boot": moment.boot,
        f"{name}_boot_ms": moment.boot_ms,
    }


def moment_json(moment: Moment) -> dict[str, str | int]:
    """A moment as JSON within a stop."""
    return {"at": moment.at.isoformat(), "boot": moment.boot, "boot_ms": moment.boot_ms}
