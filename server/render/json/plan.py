"""The plan as JSON. Units stand in the names; figures are not rounded; null: cannot be told."""

from __future__ import annotations

from datetime import date
from typing import Self

from pydantic import BaseModel, Field

from server.render.json.base import ReadFromReport
from shared_models.reports.plan.schedule import PlannedPlanting
from shared_models.reports.plan.sheet import PlanSheet
from shared_models.reports.plan.unplanned_trays import TraysWaiting
from shared_models.trade.planning.conflicts import ConflictKind
from shared_models.trade.planning.sowing_plan import Totals
from shared_models.trade.raising.growing_time import Guide


class PlannedOut(BaseModel):
    """A planting to come, worked back from its day."""

    planting: str = Field(description="Id of the planting.")
    label: str
    bed: str | None = Field(description="Id of the bed.")
    sowing: str | None = Field(description="Id of the sowing.")
    crop: str
    planned_on: date
    sown: bool = Field(description="Whether its trays are sown.")
    sown_on: date | None
    sow_from: date | None = Field(description="Not to be too old on the day; null where sown.")
    sow_by: date | None = Field(description="To be ready on the day; null where sown.")
    ready_from: date | None
    ready_until: date | None
    guide: Guide | None = Field(description="Whose days from sowing to planting these are.")
    early_days: int = Field(description="Days that the planting comes before its trays are ready.")
    late_days: int = Field(description="Days that the planting comes after its trays should have been planted.")
    plants: int | None
    trays: int | None = Field(description="With spare trays for the empty cells to expect.")
    spare_trays: int | None
    seeds: int | None
    empty_cells: float | None = Field(description="To expect in all its trays.")
    chain_mm: float | None
    row_mm: float | None
    mix_l: float | None = Field(description="Null where the farm has not told what a tray takes.")
    person_hours: float | None = Field(description="To plant it, by the farm's own rows.")

    @classmethod
    def of(cls, line: PlannedPlanting, *, mix_told: bool) -> Self:
        """The planting in JSON."""
        takes, sowing, window = line.takes, line.sowing, line.window
        return cls(
            planting=line.planting_id,
            label=line.place.label,
            bed=line.place.bed_id,
            sowing=sowing.id if sowing else None,
            crop=line.place.crop,
            planned_on=line.planned_on,
            sown=line.sown,
            sown_on=sowing.sown_on if sowing else None,
            sow_from=line.sow_from,
            sow_by=line.sow_by,
            ready_from=window.ready_from if window else None,
            ready_until=window.ready_until if window else None,
            guide=line.guide,
            early_days=line.early_days,
            late_days=line.late_days,
            plants=takes.plants if takes else None,
            trays=takes.trays if takes else None,
            spare_trays=takes.extra_trays if takes else None,
            seeds=takes.seeds if takes else None,
            empty_cells=takes.empty_cells if takes else None,
            chain_mm=takes.chain_mm if takes else None,
            row_mm=takes.row_mm if takes else None,
            mix_l=takes.mix_l if takes and mix_told else None,
            person_hours=line.person_h,
        )


class PlanWeekOut(ReadFromReport):
    """A week: what stands on the bench, what is sown and planted, and the hours of it."""

    monday: date
    trays: int = Field(description="On the bench on the fullest day, those without a planting among them.")
    trays_to_sow: int
    plantings: int
    plants: int
    sowing_h: float | None = Field(description="Person-hours; null where the farm has not told its rate.")
    tending_h: float | None = Field(description="Person-hours; null where the farm has not told its rate.")
    planting_h: float | None = Field(description="Person-hours, by the farm's own rows; null while there are none.")
    hours: float | None = Field(description="The hours that are known, together.")


class ConflictOut(ReadFromReport):
    """Something that cannot be done as it stands."""

    kind: ConflictKind
    begins: date
    plantings: list[str] = Field(description="Labels.")
    bed: str | None = Field(description="Name of the bed.")
    asked: float = Field(description="Trays, hours or days that it is about.")
    there: float = Field(description="Trays or hours that there are.")
    sentence: str


class WaitingOut(BaseModel):
    """Trays of a sowing that no planting is planned for."""

    sowing: str = Field(description="Id of the sowing.")
    crop: str
    code: str
    trays: int | None = Field(description="Null where nobody has told how many were sown.")
    ready_from: date
    ready_until: date

    @classmethod
    def of(cls, waiting: TraysWaiting) -> Self:
        """The trays in JSON."""
        sowing, window = waiting.sowing, waiting.window
        return cls(
            sowing=sowing.id,
            crop=sowing.crop,
            code=sowing.code,
            trays=waiting.trays,
            ready_from=window.ready_from,
            ready_until=window.ready_until,
        )


class NextOut(ReadFromReport):
    """A further planting, and the last day to sow for it."""

    plant_on: date
    sow_by: date


class SuccessionOut(ReadFromReport):
    """A crop that is planted again and again, and what comes next."""

    crop: str
    every_days: int = Field(description="The middle of the gaps between its plantings this season.")
    gaps: int
    last: date = Field(description="Its last planting, done or planned.")
    next: list[NextOut]


class RateUsedOut(ReadFromReport):
    """The farm's own rate that hours go by."""

    crop: str | None = Field(description="Null: all rows, for crops with too few of their own.")
    mm_per_person_h: float
    rows: int = Field(description="Rows that it rests on.")


class OrderOut(BaseModel):
    """What plantings take together."""

    plants: int
    trays: int
    seeds: dict[str, int] = Field(description="By crop.")
    chain_mm: float
    mix_l: float | None

    @classmethod
    def of(cls, told: Totals, *, mix_told: bool) -> Self:
        """The sums in JSON."""
        mix = told.mix_l if mix_told else None
        return cls(plants=told.plants, trays=told.trays, seeds=told.seeds, chain_mm=told.chain_mm, mix_l=mix)


class PlanOut(BaseModel):
    """The plan: plantings to come, weeks, what cannot be done, and what comes next."""

    today: date = Field(description="On the farm's clock.")
    plantings: list[PlannedOut]
    weeks: list[PlanWeekOut]
    conflicts: list[ConflictOut]
    waiting: list[WaitingOut]
    successions: list[SuccessionOut]
    rates: list[RateUsedOut]
    total: OrderOut = Field(description="All plantings to come.")
    to_sow: OrderOut = Field(description="Those that are not sown yet.")

    @classmethod
    def of(cls, sheet: PlanSheet) -> Self:
        """The plan in JSON."""
        mix_told = sheet.figures.mix_l_per_tray is not None
        return cls(
            today=sheet.today,
            plantings=[PlannedOut.of(line, mix_told=mix_told) for line in sheet.plantings],
            weeks=[PlanWeekOut.model_validate(week) for week in sheet.weeks],
            conflicts=[ConflictOut.model_validate(each) for each in sheet.conflicts],
            waiting=[WaitingOut.of(each) for each in sheet.waiting],
            successions=[SuccessionOut.model_validate(each) for each in sheet.successions],
            rates=[RateUsedOut.model_validate(rate) for rate in sheet.rates],
            total=OrderOut.of(sheet.total, mix_told=mix_told),
            to_sow=OrderOut.of(sheet.to_sow, mix_told=mix_told),
        )
