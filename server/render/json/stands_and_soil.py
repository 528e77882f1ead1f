"""Stands, soil, beds and plantings as JSON. Units stand in the names; figures are not rounded; null: not known."""

from datetime import date, datetime
from typing import Any

from pydantic import Field, model_validator

from server.render.json.base import ReadFromReport, attribute
from shared_models.core.vocabulary import Amount, Feel, Readiness, Texture
from shared_models.reports.soil.wording import why
from shared_models.trade.soil.readiness import Verdict


class RoundOut(ReadFromReport):
    """The stand counts of one planting on one day."""

    on: date
    days_after_planting: int | None = Field(description="Since the planting's first row.")
    samples: int = attribute("stand.samples", "Stretches of row that were counted.")
    plants: float = attribute("stand.plants", "Plants found in all samples.")
    positions: float = attribute("stand.positions", "Places for a plant in all samples: length / spacing.")
    proportion: float = attribute("stand.proportion", "Plants / positions, 0 to 1.")
    low: float = attribute("stand.interval.low", "Lower end of the 95% interval (Wilson, widened for scatter).")
    high: float = attribute("stand.interval.high", "Upper end of the 95% interval.")
    design_effect: float = attribute(
        "stand.design_effect", "How much more the samples scatter than single plants would."
    )


class FillLineOut(ReadFromReport):
    """A row with misses to fill."""

    row: int
    misses: int
    filled: int
    to_fill: int


class StandOut(ReadFromReport):
    """The stand of one planting, over all its ended rows."""

    planting: str = Field(validation_alias="planting_id", description="Id of the planting.")
    label: str
    bed: str | None = Field(validation_alias="bed_id", description="Id of the bed.")
    crop: str
    spacing_mm: float | None
    planted_from: date | None
    planted_until: date | None
    rows: int
    length_mm: int
    positions: float | None = Field(description="Places for a plant: length / spacing.")
    misses: int
    filled: int
    doubles: int = Field(description="For information; never added to the stand.")
    planted_stand: float | None = Field(
        validation_alias="planted", description="(positions - misses + filled) / positions, 0 to 1."
    )
    counts: list[RoundOut] = Field(validation_alias="rounds", description="Stand counts day by day, the latest last.")
    to_fill: list[FillLineOut] = attribute("fill.lines")
    spares: int = attribute("fill.spares", "Plants to carry for filling, with some to spare.")
    issues: list[str] = Field(description="What could not be used, and why.")


class BedStandOut(ReadFromReport):
    """The stand of all plantings of one bed, as they left the transplanter."""

    bed: str | None = Field(validation_alias="bed_id", description="Id of the bed.")
    label: str = Field(validation_alias="bed")
    plantings: int
    positions: float | None
    misses: int
    filled: int
    doubles: int
    planted_stand: float | None = Field(validation_alias="planted", description="0 to 1.")


class StandsOut(ReadFromReport):
    """Stands of the plantings with a row or a count on the requested days, each over all its rows and counts."""

    plantings: list[StandOut]
    beds: list[BedStandOut]


class VerdictOut(ReadFromReport):
    """Fit to plant or not."""

    readiness: Readiness
    limiting_factor: str | None = Field(description="The factor that decides; null when the bed is ready.")
    reason: str
    missing: list[str] = Field(description="Factors that were not checked.")

    @model_validator(mode="before")
    @classmethod
    def _with_reason(cls, verdict: Verdict) -> dict[str, Any]:
        factor = verdict.limiting.factor if verdict.limiting else None
        return {
            "readiness": verdict.readiness,
            "limiting_factor": factor,
            "reason": why(verdict),
            "missing": verdict.missing,
        }


class SoilCheckOut(ReadFromReport):
    """One check of a bed: what was seen, and what it said then."""

    id: str
    at: datetime = Field(description="In UTC.")
    feel: Feel | None = attribute("observed.feel")
    residue_pct: float | None = attribute("observed.residue_pct")
    stones: Amount | None = attribute("observed.stones")
    clods: Amount | None = attribute("observed.clods")
    hours_since_tillage: float | None = attribute("observed.hours_since_tillage", "At the time of the check.")
    soil_c: float | None = attribute("observed.soil_c")
    note: str
    verdict: VerdictOut
    issues: list[str]


class BedSoilOut(ReadFromReport):
    """A bed now, and its checks, the latest first."""

    bed: str = Field(validation_alias="bed_id", description="Id of the bed.")
    label: str = Field(validation_alias="bed")
    texture: Texture | None
    retired: bool
    now: VerdictOut | None = Field(description="By the latest check and the time since; null without a check.")
    checked_hours_ago: float | None = Field(validation_alias="checked_h_ago")
    stale: bool = Field(description="The latest check is too old.")
    checks: list[SoilCheckOut]


class SoilOut(ReadFromReport):
    """Every bed in use and every bed ever checked."""

    beds: list[BedSoilOut]


class BedOut(ReadFromReport):
    """A bed as it is recorded."""

    id: str
    name: str
    block: str
    length_mm: int
    rows: int
    row_spacing_mm: int | None
    bed_spacing_mm: int | None
    texture: Texture | None
    latitude: float | None
    longitude: float | None
    retired: bool


class PlantingOut(ReadFromReport):
    """A planting, with what it refers to as far as that is known here."""

    id: str = attribute("planting.id")
    label: str = attribute("place.label")
    bed: str = attribute("planting.bed", "Id of the bed.")
    sowing: str = attribute("planting.sowing", "Id of the sowing.")
    crop: str | None = attribute("sowing.crop", default=None)
    variety: str | None = attribute("sowing.variety", default=None)
    seed_lot: str | None = attribute("sowing.seed_lot", default=None)
    spacing_mm: float | None = attribute("sowing.spacing_mm", default=None)
    planned_on: date | None = attribute("planting.planned_on")
    note: str = attribute("planting.note")
