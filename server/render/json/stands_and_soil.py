"""Stands, soil, beds and plantings as JSON. Units stand in the names; figures are not rounded; null: cannot be told."""

from __future__ import annotations

from datetime import date, datetime
from typing import Self

from pydantic import BaseModel, Field

from server.render.json.base import ReadFromReport
from shared_models.core.vocabulary import Amount, Feel, Readiness, Texture
from shared_models.reports.common.find import ListedPlanting
from shared_models.reports.soil.beds import BedSoil, SoilReading, SoilReport
from shared_models.reports.soil.wording import why
from shared_models.reports.stand.stands import PlantingStand, Round, StandsReport
from shared_models.trade.soil.readiness import Verdict


class RoundOut(BaseModel):
    """The stand counts of one planting on one day."""

    on: date
    days_after_planting: int | None = Field(description="Since the planting's first row.")
    samples: int = Field(description="Stretches of row that were counted.")
    plants: float = Field(description="Plants found in all samples.")
    positions: float = Field(description="Places for a plant in all samples: length / spacing.")
    proportion: float = Field(description="Plants / positions, 0 to 1.")
    low: float = Field(description="Lower end of the 95 % interval (Wilson, widened where samples scatter).")
    high: float = Field(description="Upper end of the 95 % interval.")
    design_effect: float = Field(description="How many times more the samples scatter than single plants would.")

    @classmethod
    def of(cls, counted: Round) -> Self:
        """The round in JSON."""
        stand = counted.stand
        return cls(
            on=counted.on,
            days_after_planting=counted.days_after_planting,
            samples=stand.samples,
            plants=stand.plants,
            positions=stand.positions,
            proportion=stand.proportion,
            low=stand.interval.low,
            high=stand.interval.high,
            design_effect=stand.design_effect,
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
    doubles: int = Field(description="Told, but never added to the stand.")
    planted_stand: float | None = Field(
        validation_alias="planted", description="(positions - misses + filled) / positions, 0 to 1."
    )
    counts: list[RoundOut] = Field(default_factory=list, description="Stand counts day by day, the latest last.")
    to_fill: list[FillLineOut] = Field(default_factory=list)
    spares: int = Field(default=0, description="Plants to carry for filling, with some to spare.")
    issues: list[str] = Field(description="What could not be used, and why.")

    @classmethod
    def of(cls, stand: PlantingStand) -> Self:
        """The stand in JSON."""
        told = cls.model_validate(stand)
        told.counts = [RoundOut.of(each) for each in stand.rounds]
        told.to_fill = [FillLineOut.model_validate(line) for line in stand.fill.lines]
        told.spares = stand.fill.spares
        return told


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


class StandsOut(BaseModel):
    """Stands of the plantings with a row or a count on the days asked about, each over all its rows and counts."""

    plantings: list[StandOut]
    beds: list[BedStandOut]

    @classmethod
    def of(cls, report: StandsReport) -> Self:
        """The report in JSON."""
        return cls(
            plantings=[StandOut.of(stand) for stand in report.plantings],
            beds=[BedStandOut.model_validate(bed) for bed in report.beds],
        )


class VerdictOut(BaseModel):
    """Fit to plant or not."""

    readiness: Readiness
    limiting_factor: str | None = Field(description="The factor that decides; null when the bed is ready.")
    reason: str
    missing: list[str] = Field(description="Factors nobody looked at.")

    @classmethod
    def of(cls, verdict: Verdict) -> Self:
        """The verdict in JSON."""
        limiting = verdict.limiting
        return cls(
            readiness=verdict.readiness,
            limiting_factor=limiting.factor if limiting else None,
            reason=why(verdict),
            missing=list(verdict.missing),
        )


class SoilCheckOut(BaseModel):
    """One check of a bed: what was seen, and what it said then."""

    id: str
    at: datetime = Field(description="In UTC.")
    feel: Feel | None
    residue_pct: float | None
    stones: Amount | None
    clods: Amount | None
    hours_since_tillage: float | None = Field(description="At the time of the check.")
    soil_c: float | None
    note: str
    verdict: VerdictOut
    issues: list[str]

    @classmethod
    def of(cls, reading: SoilReading) -> Self:
        """The check in JSON."""
        look = reading.look
        return cls(
            id=reading.id,
            at=reading.at,
            feel=look.feel,
            residue_pct=look.residue_pct,
            stones=look.stones,
            clods=look.clods,
            hours_since_tillage=look.hours_since_tillage,
            soil_c=look.soil_c,
            note=reading.note,
            verdict=VerdictOut.of(reading.verdict),
            issues=list(reading.issues),
        )


class BedSoilOut(BaseModel):
    """A bed now, and its checks, the latest first."""

    bed: str = Field(description="Id of the bed.")
    label: str
    texture: Texture | None
    retired: bool
    now: VerdictOut | None = Field(description="By the latest check and the time since; null where nobody has looked.")
    checked_hours_ago: float | None
    stale: bool = Field(description="The latest check is too old to go by.")
    checks: list[SoilCheckOut]

    @classmethod
    def of(cls, bed: BedSoil) -> Self:
        """The bed in JSON."""
        return cls(
            bed=bed.bed_id,
            label=bed.bed,
            texture=bed.texture,
            retired=bed.retired,
            now=VerdictOut.of(bed.now) if bed.now else None,
            checked_hours_ago=bed.checked_h_ago,
            stale=bed.stale,
            checks=[SoilCheckOut.of(reading) for reading in bed.checks],
        )


class SoilOut(BaseModel):
    """Every bed in use and every bed ever checked."""

    beds: list[BedSoilOut]

    @classmethod
    def of(cls, report: SoilReport) -> Self:
        """The report in JSON."""
        return cls(beds=[BedSoilOut.of(bed) for bed in report.beds])


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


class PlantingOut(BaseModel):
    """A planting, with what it refers to as far as that is known here."""

    id: str
    label: str
    bed: str = Field(description="Id of the bed.")
    sowing: str = Field(description="Id of the sowing.")
    crop: str | None
    variety: str | None
    seed_lot: str | None
    spacing_mm: float | None
    planned_on: date | None
    note: str

    @classmethod
    def of(cls, listed: ListedPlanting) -> Self:
        """The planting in JSON."""
        planting, sowing = listed.planting, listed.sowing
        return cls(
            id=planting.id,
            label=listed.place.label,
            bed=planting.bed,
            sowing=planting.sowing,
            crop=sowing.crop if sowing else None,
            variety=sowing.variety if sowing else None,
            seed_lot=sowing.seed_lot if sowing else None,
            spacing_mm=sowing.spacing_mm if sowing else None,
            planned_on=planting.planned_on,
            note=planting.note,
        )
