"""Rates as JSON. Units stand in the names; figures are not rounded; null: not known."""

from collections.abc import Iterable, Sequence
from datetime import datetime

from pydantic import BaseModel, Field, ValidationInfo, field_validator

from server.render.json.base import Feet, ReadFromReport, attribute
from shared_models.core.vocabulary import StopReason
from shared_models.reports.pace.rates import By
from shared_models.reports.rows.rows import LoggedRow
from shared_models.trade.pace.pace import StopTotal


class RateOut(ReadFromReport):
    """One line: the work of a row, a bed, a person, an hour. A part of a row counts in proportion to time."""

    key: str = Field(description="What the line stands for: an id, a day, an hour; the ids of a crew with spaces.")
    label: str = Field(description="The same for people.")
    rows: float = attribute("work.rows", "Rows; a row shared by two people is half a row for each.")
    length_mm: float = attribute("work.length_mm", "Length of row planted, in millimeters.")
    length_ft: Feet = attribute("work.length_mm", "Length of row planted, in feet.")
    plants: float | None = Field(description="Length / spacing; null where the spacing of some row is not known.")
    row_time_s: float = attribute("work.row_time_s", "Seconds from start to end of the rows, without the stops.")
    stop_time_s: float = attribute("work.stop_time_s", "Seconds of stops within rows.")
    turn_time_s: float = attribute("work.turn_time_s", "Seconds between the end of a row and the start of the next.")
    field_time_s: float = attribute("work.field_time_s", "Row, stop and turn time together, in seconds.")
    person_time_s: float = attribute("work.person_s", "Field time of everybody in the crew, in seconds.")
    working_mm_per_h: float | None = attribute("work.working_mm_per_h", "Length per row hour, in millimeters.")
    working_ft_per_h: Feet | None = attribute("work.working_mm_per_h", "Length per row hour, in feet.")
    effective_mm_per_h: float | None = attribute("work.effective_mm_per_h", "Length per field hour, in millimeters.")
    effective_ft_per_h: Feet | None = attribute("work.effective_mm_per_h", "Length per field hour, in feet.")
    field_efficiency: float | None = attribute("work.field_efficiency", "Effective / working rate, 0 to 1.")
    mm_per_person_h: float | None = attribute("work.mm_per_person_h", "Length per hour of one person, in millimeters.")
    ft_per_person_h: Feet | None = attribute("work.mm_per_person_h", "Length per hour of one person, in feet.")
    plants_per_h: float | None = Field(description="Plants per hour of field time.")
    plants_per_person_h: float | None = Field(description="Plants per hour of one person.")
    misses: float = Field(description="Cells without a plant, as noted while planting.")
    doubles: float = Field(description="Cells with two plants, as noted while planting.")
    filled: float = Field(description="Misses that were filled since.")


class RowOut(ReadFromReport):
    """A row as it was logged."""

    id: str
    label: str
    planting: str = attribute("place.planting_id", "Id of the planting.")
    row: int
    length_mm: int
    spacing_mm: float | None = attribute("place.spacing_mm")
    start: datetime = Field(description="Start in UTC, with a phone's wrong clock put right.")
    end: datetime | None = Field(description="End in UTC; null while the row is open.")
    duration_s: float | None = attribute("timed.duration_s", "From start to end; null if not counted.", default=None)
    stop_time_s: float | None = attribute("timed.stopped_s", default=None)
    turn_time_s: float | None = attribute("timed.turn_s", default=None)
    crew: list[str] = Field(description="Names.")
    misses: int
    doubles: int
    filled: int
    depth_mm: int | None
    note: str
    issues: list[str] = Field(description="Why this entry needs a check.")


class StopOut(BaseModel):
    """All stops for one reason."""

    reason: StopReason
    seconds: float
    count: int


class RatesOut(ReadFromReport):
    """Lines that sum to the total. Rates are computed from the sums, never averaged. Nothing is rounded."""

    by: By
    lines: list[RateOut]
    total: RateOut
    stops: list[StopOut] = Field(description="Stops within rows by reason, the longest first.")
    rows: list[RowOut] = Field(description="The rows themselves, when asked by row; else empty.")
    not_counted: list[RowOut] = Field(description="Rows that are open, or whose times cannot be right.")

    @field_validator("stops", mode="before")
    @classmethod
    def _by_reason(cls, stops: Iterable[tuple[StopReason, StopTotal]]) -> list[StopOut]:
        return [StopOut(reason=reason, seconds=stop.seconds, count=stop.count) for reason, stop in stops]

    @field_validator("rows", mode="before")
    @classmethod
    def _when_asked(cls, rows: Sequence[LoggedRow], info: ValidationInfo) -> Sequence[LoggedRow]:
        return rows if info.data["by"] is By.ROW else []
