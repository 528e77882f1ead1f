"""Rates as JSON. Units stand in the names; figures are not rounded; what cannot be told is null."""

from __future__ import annotations

from datetime import datetime
from typing import Self

from pydantic import BaseModel, Field

from shared_models.core.units import mm_to_feet
from shared_models.core.vocabulary import StopReason
from shared_models.reports.pace.rates import By, RateLine, RatesReport
from shared_models.reports.rows.rows import LoggedRow


def _feet(mm: float | None) -> float | None:
    return None if mm is None else mm_to_feet(mm)


class RateOut(BaseModel):
    """One line: the work of a row, a bed, a person, an hour. A part of a row counts in proportion to time."""

    key: str = Field(description="What the line stands for: an id, a day, an hour; the ids of a crew with spaces.")
    label: str = Field(description="The same for people.")
    rows: float = Field(description="Rows; a row shared by two people is half a row for each.")
    length_mm: float = Field(description="Length of row planted, in millimetres.")
    length_ft: float = Field(description="Length of row planted, in feet.")
    plants: float | None = Field(description="Length / spacing; null where the spacing of some row is not known.")
    row_time_s: float = Field(description="Seconds from start to end of the rows, without the stops.")
    stop_time_s: float = Field(description="Seconds of stops within rows.")
    turn_time_s: float = Field(description="Seconds between the end of a row and the start of the next.")
    field_time_s: float = Field(description="Row, stop and turn time together, in seconds.")
    person_time_s: float = Field(description="Field time of everybody in the crew, in seconds.")
    working_mm_per_h: float | None = Field(description="Length per hour of row time, in millimetres.")
    working_ft_per_h: float | None = Field(description="Length per hour of row time, in feet.")
    effective_mm_per_h: float | None = Field(description="Length per hour of field time, in millimetres.")
    effective_ft_per_h: float | None = Field(description="Length per hour of field time, in feet.")
    field_efficiency: float | None = Field(description="Effective / working rate, 0 to 1.")
    mm_per_person_h: float | None = Field(description="Length per hour of one person, in millimetres.")
    ft_per_person_h: float | None = Field(description="Length per hour of one person, in feet.")
    plants_per_h: float | None = Field(description="Plants per hour of field time.")
    plants_per_person_h: float | None = Field(description="Plants per hour of one person.")
    misses: float = Field(description="Cells without a plant, as noted while planting.")
    doubles: float = Field(description="Cells with two plants, as noted while planting.")
    filled: float = Field(description="Misses that were filled since.")

    @classmethod
    def of(cls, line: RateLine) -> Self:
        """The line in JSON."""
        done = line.work
        return cls(
            key=line.key,
            label=line.label,
            rows=done.rows,
            length_mm=done.length_mm,
            length_ft=mm_to_feet(done.length_mm),
            plants=line.plants,
            row_time_s=done.row_time_s,
            stop_time_s=done.stop_time_s,
            turn_time_s=done.turn_time_s,
            field_time_s=done.field_time_s,
            person_time_s=done.person_s,
            working_mm_per_h=done.working_mm_per_h,
            working_ft_per_h=_feet(done.working_mm_per_h),
            effective_mm_per_h=done.effective_mm_per_h,
            effective_ft_per_h=_feet(done.effective_mm_per_h),
            field_efficiency=done.field_efficiency,
            mm_per_person_h=done.mm_per_person_h,
            ft_per_person_h=_feet(done.mm_per_person_h),
            plants_per_h=line.plants_per_h,
            plants_per_person_h=line.plants_per_person_h,
            misses=line.misses,
            doubles=line.doubles,
            filled=line.filled,
        )


class RowOut(BaseModel):
    """A row as it was logged."""

    id: str
    label: str
    planting: str = Field(description="Id of the planting.")
    row: int
    length_mm: int
    spacing_mm: float | None
    start: datetime = Field(description="Start in UTC, with a phone's wrong clock put right.")
    end: datetime | None = Field(description="End in UTC; null while the row is open.")
    duration_s: float | None = Field(description="Seconds from start to end; null if the row is not counted.")
    stop_time_s: float | None
    turn_time_s: float | None
    crew: list[str] = Field(description="Names.")
    misses: int
    doubles: int
    filled: int
    depth_mm: int | None
    note: str
    issues: list[str] = Field(description="Why somebody should look at this entry.")

    @classmethod
    def of(cls, row: LoggedRow) -> Self:
        """The row in JSON."""
        timed = row.timed
        return cls(
            id=row.id,
            label=row.label,
            planting=row.place.planting_id,
            row=row.row,
            length_mm=row.length_mm,
            spacing_mm=row.place.spacing_mm,
            start=row.start,
            end=row.end,
            duration_s=timed.duration_s if timed else None,
            stop_time_s=timed.stopped_s if timed else None,
            turn_time_s=timed.turn_s if timed else None,
            crew=list(row.crew),
            misses=row.misses,
            doubles=row.doubles,
            filled=row.filled,
            depth_mm=row.depth_mm,
            note=row.note,
            issues=list(row.issues),
        )


class StopOut(BaseModel):
    """All stops for one reason."""

    reason: StopReason
    seconds: float
    count: int


class RatesOut(BaseModel):
    """Lines that sum to the total. Rates are computed from the sums, never averaged. Nothing is rounded."""

    by: By
    lines: list[RateOut]
    total: RateOut
    stops: list[StopOut] = Field(description="Stops within rows by reason, the longest first.")
    rows: list[RowOut] = Field(description="The rows themselves, when asked by row; else empty.")
    not_counted: list[RowOut] = Field(description="Rows that are open, or whose times cannot be right.")

    @classmethod
    def of(cls, report: RatesReport) -> Self:
        """The report in JSON."""
        return cls(
            by=report.by,
            lines=[RateOut.of(line) for line in report.lines],
            total=RateOut.of(report.total),
            stops=[StopOut(reason=reason, seconds=stop.seconds, count=stop.count) for reason, stop in report.stops],
            rows=[RowOut.of(row) for row in report.rows] if report.by is By.ROW else [],
            not_counted=[RowOut.of(row) for row in report.not_counted],
        )
