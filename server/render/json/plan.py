"""The plan as JSON. Units stand in the names; figures are not rounded; null: not known."""

from datetime import date
from typing import Self

from pydantic import Field

from server.render.json.base import ReadFromReport, attribute
from shared_models.reports.plan.sheet import PlanSheet
from shared_models.trade.planning.conflicts import ConflictKind
from shared_models.trade.raising.growing_time import Guide


class PlannedOut(ReadFromReport):
    """A planting to come, worked back from its day."""

    planting: str = Field(validation_alias="planting_id", description="Id of the planting.")
    label: str = attribute("place.label")
    bed: str | None = attribute("place.bed_id", "Id of the bed.")
    sowing: str | None = attribute("sowing.id", "Id of the sowing.", default=None)
    crop: str = attribute("place.crop")
    planned_on: date
    sown: bool = Field(description="Whether its trays are sown.")
    sown_on: date | None = attribute("sowing.sown_on", default=None)
    sow_from: date | None = Field(description="Not to be too old on the day; null where sown.")
    sow_by: date | None = Field(description="To be ready on the day; null where sown.")
    ready_from: date | None = attribute("window.ready_from", default=None)
    ready_until: date | None = attribute("window.ready_until", default=None)
    guide: Guide | None = Field(description="Whose days from sowing to planting these are.")
    early_days: int = Field(description="Days that the planting comes before its trays are ready.")
    late_days: int = Field(description="Days that the planting comes after its trays should have been planted.")
    plants: int | None = attribute("takes.plants", default=None)
    trays: int | None = attribute("takes.trays", "With spare trays for the empty cells to expect.", default=None)
    spare_trays: int | None = attribute("takes.extra_trays", default=None)
    seeds: int | None = attribute("takes.seeds", default=None)
    empty_cells: float | None = attribute("takes.empty_cells", "To expect in all its trays.", default=None)
    chain_mm: float | None = attribute("takes.chain_mm", default=None)
    row_mm: float | None = attribute("takes.row_mm", default=None)
    mix_l: float | None = attribute("takes.mix_l", "Null if the mix for a tray is not set.", default=None)
    person_hours: float | None = Field(validation_alias="person_h", description="To plant it, by the farm's own rows.")


class PlanWeekOut(ReadFromReport):
    """A week: what stands on the bench, what is sown and planted, and the hours of it."""

    monday: date
    trays: int = Field(description="On the bench on the fullest day, those without a planting among them.")
    trays_to_sow: int
    plantings: int
    plants: int
    sowing_h: float | None = Field(description="Person-hours; null if the rate is not set.")
    tending_h: float | None = Field(description="Person-hours; null if the rate is not set.")
    planting_h: float | None = Field(description="Person-hours, by the farm's own rows; null while there are none.")
    hours: float | None = Field(description="The hours that are known, together.")


class ConflictOut(ReadFromReport):
    """A problem with the plan."""

    kind: ConflictKind
    begins: date
    plantings: list[str] = Field(description="Labels.")
    bed: str | None = Field(description="Name of the bed.")
    asked: float = attribute("needed", "Trays, hours or days that it is about.")
    there: float = attribute("available", "Trays or hours that there are.")
    sentence: str


class WaitingOut(ReadFromReport):
    """Trays of a sowing that no planting is planned for."""

    sowing: str = attribute("sowing.id", "Id of the sowing.")
    crop: str = attribute("sowing.crop")
    code: str = attribute("sowing.code")
    trays: int | None = Field(description="Null if the number sown was not entered.")
    ready_from: date = attribute("window.ready_from")
    ready_until: date = attribute("window.ready_until")


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


class OrderOut(ReadFromReport):
    """What plantings take together."""

    plants: int
    trays: int
    seeds: dict[str, int] = Field(description="By crop.")
    chain_mm: float
    mix_l: float | None


class PlanOut(ReadFromReport):
    """The plan: plantings to come, weeks, problems, and what comes next."""

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
        """Read a plan; without the farm's figure for a tray nothing is said of mix."""
        plan = cls.model_validate(sheet)
        if sheet.figures.mix_l_per_tray is None:
            plan.total.mix_l = plan.to_sow.mix_l = None
            for each in plan.plantings:
                each.mix_l = None
        return plan
