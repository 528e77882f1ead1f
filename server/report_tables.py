"""What stands in the tables of the reports, for the text and for the office's page alike. Figures are rounded here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from shared_models.reports.farm import FarmFacts
from shared_models.reports.figures import (
    NOT_TOLD,
    in_farm_units,
    minutes,
    number,
    percent,
    short,
    spacing,
    unit,
)
from shared_models.reports.gather import LoggedRow
from shared_models.reports.rates import By, RateLine, RatesReport
from shared_models.reports.stands import PlantingStand, StandsReport
from shared_models.trade.pace import TimedRow, work


class Column(NamedTuple):
    """A column: its heading (in up to two lines), whether it holds words (set to the left) or figures.

    A `detail` may be left out where there is little room.
    """

    heading: str
    words: bool = False
    detail: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """Cells in words. `shares` tell for each row how its main figure compares with the greatest one, 0 to 1."""

    columns: tuple[Column, ...]
    rows: tuple[Sequence[str], ...]
    total: Sequence[str] | None = None
    shares: tuple[float, ...] = ()


def rates_table(report: RatesReport, farm: FarmFacts) -> Table:
    """One line for each bed, person, hour or whatever is asked; shares compare the rate of one person's hour."""
    far = unit(farm.units)
    columns = (
        Column(report.by.value, words=True),
        Column("rows", detail=True),
        Column(f"row\n{far}"),
        Column("plants"),
        Column("row\nmin", detail=True),
        Column("stop\nmin", detail=True),
        Column("turn\nmin", detail=True),
        Column(f"working\n{far}/h", detail=True),
        Column(f"effective\n{far}/h"),
        Column("field\nefficiency", detail=True),
        Column(f"{far} per\nperson-h"),
        Column("plants\nper h"),
        Column("plants per\nperson-h", detail=True),
        Column("misses"),
    )
    rates = [line.work.mm_per_person_h or 0.0 for line in report.lines]
    rows = tuple(_rate(line, farm) for line in report.lines)
    return Table(columns, rows, _rate(report.total, farm), shares_of(rates))


def shares_of(figures: Sequence[float]) -> tuple[float, ...]:
    """Each figure as a share of the greatest."""
    greatest = max(figures, default=0.0)
    return tuple(figure / greatest if greatest else 0.0 for figure in figures)


def _rate(line: RateLine, farm: FarmFacts) -> list[str]:
    done = line.work
    return [
        line.label,
        short(done.rows),
        short(in_farm_units(done.length_mm, farm.units)),
        number(line.plants),
        minutes(done.row_time_s),
        minutes(done.stop_time_s),
        minutes(done.turn_time_s),
        number(in_farm_units(done.working_mm_per_h, farm.units)),
        number(in_farm_units(done.effective_mm_per_h, farm.units)),
        percent(done.field_efficiency, 0),
        number(in_farm_units(done.mm_per_person_h, farm.units)),
        number(line.plants_per_h),
        number(line.plants_per_person_h),
        short(line.misses),
    ]


def rows_table(report: RatesReport, farm: FarmFacts) -> Table:
    """The counted rows with everything that is needed to work their rates out by hand (see `how_to_check`)."""
    far = unit(farm.units)
    columns = (
        Column(By.ROW.value, words=True),
        Column(far),
        Column("spacing"),
        Column("start"),
        Column("end"),
        Column("min"),
        Column("stop\nmin"),
        Column("turn\nmin"),
        Column("crew", words=True),
        Column("misses"),
        Column(f"working\n{far}/h"),
        Column(f"effective\n{far}/h"),
        Column("plants\nper h"),
    )
    rows = tuple(_row(row, row.timed, farm) for row in report.rows if row.timed)
    return Table(columns, rows, _rows_total(report.total, farm))


def how_to_check(farm: FarmFacts) -> str:
    """How each figure of the rows is worked out."""
    far, longest_turn = unit(farm.units), minutes(farm.setting("longest_turn_s"), 0)
    return (
        "min = end - start; turn = the time since the row before in the same planting, if that is no more than "
        f"{longest_turn} min. Working = {far} / (min - stop) × 60; effective = {far} / (min + turn) × 60; "
        "plants/h = effective / spacing."
    )


def _row(row: LoggedRow, timed: TimedRow, farm: FarmFacts) -> list[str]:
    done, spacing_mm = work(timed), row.place.spacing_mm
    return [
        f"{row.place.bed}, row\N{NO-BREAK SPACE}{row.row}",
        number(in_farm_units(row.length_mm, farm.units), 1),
        spacing(spacing_mm, farm.units) if spacing_mm else NOT_TOLD,
        f"{farm.local(timed.start):%H:%M:%S}",
        f"{farm.local(timed.end):%H:%M:%S}",
        minutes(timed.duration_s, 2),
        minutes(timed.stopped_s, 2),
        minutes(timed.turn_s, 2),
        " + ".join(row.crew),
        str(row.misses),
        number(in_farm_units(done.working_mm_per_h, farm.units)),
        number(in_farm_units(done.effective_mm_per_h, farm.units)),
        number(done.plants_per_h) if spacing_mm else NOT_TOLD,
    ]


def _rows_total(total: RateLine, farm: FarmFacts) -> list[str]:
    done = total.work
    return [
        total.label,
        number(in_farm_units(done.length_mm, farm.units), 1),
        *("", "", ""),
        minutes(done.row_time_s + done.stop_time_s, 2),
        minutes(done.stop_time_s, 2),
        minutes(done.turn_time_s, 2),
        "",
        short(total.misses),
        number(in_farm_units(done.working_mm_per_h, farm.units)),
        number(in_farm_units(done.effective_mm_per_h, farm.units)),
        number(total.plants_per_h),
    ]


def stands_table(report: StandsReport, farm: FarmFacts) -> Table:
    """The stand of each planting."""
    columns = (
        Column("planting", words=True),
        Column("rows"),
        Column("spacing"),
        Column("places"),
        Column("misses"),
        Column("filled"),
        Column("doubles"),
        Column("planted\nstand"),
        Column("counted\nstand"),
        Column("counted\non"),
        Column("95 %\ninterval", words=True),
    )
    return Table(columns, tuple(_stand(stand, farm) for stand in report.plantings))


def _stand(stand: PlantingStand, farm: FarmFacts) -> list[str]:
    counted = stand.counted
    interval = counted.stand.interval if counted else None
    return [
        stand.label,
        str(stand.rows),
        spacing(stand.spacing_mm, farm.units) if stand.spacing_mm else NOT_TOLD,
        number(stand.positions),
        str(stand.misses),
        str(stand.filled),
        str(stand.doubles),
        percent(stand.planted),
        percent(counted.stand.proportion) if counted else NOT_TOLD,
        counted.on.isoformat() if counted else NOT_TOLD,
        f"{percent(interval.low)} to {percent(interval.high)}" if interval else NOT_TOLD,
    ]
