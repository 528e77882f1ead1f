"""The beds on a map (GeoJSON, RFC 7946), each with its latest figures."""

from datetime import date, datetime
from typing import Literal

from pydantic import BaseModel, Field
from sqlmodel import Session

from shared_models.core.units import mm_to_feet
from shared_models.core.vocabulary import Readiness, Texture
from shared_models.reports.common import find
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.filters import Filters
from shared_models.reports.common.find import ListedBed
from shared_models.reports.pace.rates import By, RateLine, rates_of
from shared_models.reports.rows.rows import load_rows
from shared_models.reports.soil.beds import BedSoil, soil
from shared_models.reports.soil.wording import why
from shared_models.reports.stand.stands import PlantingStand, stands_of

MEDIA_TYPE = "application/geo+json"


class Point(BaseModel):
    """A place in WGS 84."""

    type: Literal["Point"] = "Point"
    coordinates: tuple[float, float] = Field(description="Longitude, then latitude, in degrees.")


class BedFigures(BaseModel):
    """A bed with its latest figures. Units stand in the names; figures are not rounded; null: cannot be told."""

    name: str
    block: str
    length_mm: int
    rows: int
    texture: Texture | None
    retired: bool
    readiness: Readiness | None = Field(description="By the latest soil check; null where nobody has looked.")
    readiness_reason: str | None
    checked_at: datetime | None = Field(description="When the soil was last looked at, in UTC.")
    stale: bool = Field(description="That check is too old to go by.")
    planting: str | None = Field(description="Id of the planting that was planted last.")
    planting_label: str | None
    crop: str | None
    planted_from: date | None
    planted_until: date | None
    planted_stand: float | None = Field(description="Of that planting: places with a plant, 0 to 1.")
    counted_stand: float | None = Field(description="By its latest count, 0 to 1.")
    counted_on: date | None
    effective_mm_per_h: float | None = Field(description="Of that planting: length per hour of field time.")
    effective_ft_per_h: float | None
    plants_per_person_h: float | None


class BedFeature(BaseModel):
    """A bed and where it is."""

    type: Literal["Feature"] = "Feature"
    id: str
    geometry: Point
    properties: BedFigures


class BedMap(BaseModel):
    """Every bed with a position that was not deleted, by name."""

    type: Literal["FeatureCollection"] = "FeatureCollection"
    features: list[BedFeature]


def bed_map(session: Session, farm: str, now: datetime) -> BedMap:
    """Every bed with a position, as GeoJSON."""
    reports = ReportContext.of(session, farm)
    facts, names = reports.farm, reports.references
    rows = [row for row in load_rows(reports, Filters()) if not row.open]
    living = {planting.id for planting in names.plantings.values() if not planting.voided}
    last = {row.place.bed_id: row.place.planting_id for row in rows if row.place.planting_id in living}
    planted = set(last.values())
    lasting = [row for row in rows if row.place.planting_id in planted]
    lines = {line.key: line for line in rates_of(lasting, By.PLANTING, facts).lines}
    stands = {stand.planting_id: stand for stand in stands_of(reports, planted).plantings}
    looks = {bed.bed_id: bed for bed in soil(reports, now).beds}
    features = []
    for listed in find.beds(reports):
        bed, planting = listed.bed, last.get(listed.bed.id, "")
        if bed.longitude is not None and bed.latitude is not None:
            place = Point(coordinates=(bed.longitude, bed.latitude))
            figures = _figures(listed, looks.get(bed.id), stands.get(planting), lines.get(planting))
            features.append(BedFeature(id=bed.id, geometry=place, properties=figures))
    return BedMap(features=features)


def _figures(listed: ListedBed, look: BedSoil | None, last: PlantingStand | None, line: RateLine | None) -> BedFigures:
    bed, counted = listed.bed, last.counted if last else None
    effective = line.work.effective_mm_per_h if line else None
    return BedFigures(
        name=bed.name,
        block=bed.block,
        length_mm=bed.length_mm,
        rows=bed.rows,
        texture=Texture(bed.texture) if bed.texture else None,
        retired=bed.retired,
        readiness=look.now.readiness if look and look.now else None,
        readiness_reason=why(look.now) if look and look.now else None,
        checked_at=look.checks[0].at if look and look.checks else None,
        stale=look.stale if look else False,
        planting=last.planting_id if last else None,
        planting_label=last.label if last else None,
        crop=last.crop if last else None,
        planted_from=last.planted_from if last else None,
        planted_until=last.planted_until if last else None,
        planted_stand=last.planted if last else None,
        counted_stand=counted.stand.proportion if counted else None,
        counted_on=counted.on if counted else None,
        effective_mm_per_h=effective,
        effective_ft_per_h=None if effective is None else mm_to_feet(effective),
        plants_per_person_h=line.plants_per_person_h if line else None,
    )
