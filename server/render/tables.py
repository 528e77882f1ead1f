"""What stands in the tables of the reports, for the text and for the office's page alike. Figures are rounded here."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time
from typing import NamedTuple

from server.render.localizer import Localizer
from shared_models.i18n.formats import NO_VALUE
from shared_models.records.tables import Sowing
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.pace.rates import By, RateLine, RatesReport
from shared_models.reports.rows.rows import LoggedRow
from shared_models.reports.stand.stands import PlantingStand, StandsReport
from shared_models.trade.pace.pace import TimedRow, work

BY: Mapping[By, str] = {
    By.ROW: "row",
    By.PLANTING: "planting",
    By.BED: "bed",
    By.CROP: "crop",
    By.SPACING: "spacing",
    By.CREW: "crew",
    By.PERSON: "person",
    By.HOUR: "hour",
    By.DAY: "day",
    By.WEEK: "week from",
    By.SEASON: "season",
}
TOTAL = "total"


class Column(NamedTuple):
    """A column: its heading (in up to two lines), whether it holds words (set to the left) or figures.

    A `detail` may be left out where there is little room.
    """

    heading: str
    words: bool = False
    detail: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """Cells in words. `shares` tell for each row how its main figure compares with the greatest one, 0 to 1.

    `links` lead from each row to its own page.
    """

    columns: tuple[Column, ...]
    rows: tuple[Sequence[str], ...]
    total: Sequence[str] | None = None
    shares: tuple[float, ...] = ()
    links: tuple[str, ...] = ()


def rates_table(report: RatesReport, localizer: Localizer) -> Table:
    """One line for each bed, person, hour or whatever is asked; shares compare the rate of one person's hour."""
    t, unit = localizer.t, localizer.unit
    columns = (
        Column(t(BY[report.by]), words=True),
        Column(t("rows"), detail=True),
        Column(t("row\n{unit}", unit=unit)),
        Column(t("plants")),
        Column(t("row\nmin"), detail=True),
        Column(t("stop\nmin"), detail=True),
        Column(t("turn\nmin"), detail=True),
        Column(t("working\n{unit}/h", unit=unit), detail=True),
        Column(t("effective\n{unit}/h", unit=unit)),
        Column(t("field\nefficiency"), detail=True),
        Column(t("{unit} per\nperson-h", unit=unit)),
        Column(t("plants\nper h")),
        Column(t("plants per\nperson-h"), detail=True),
        Column(t("misses")),
    )
    rates = [line.work.mm_per_person_h or 0.0 for line in report.lines]
    rows = tuple(_rate(line_label(report.by, line, localizer), line, localizer) for line in report.lines)
    links = tuple(f"/bed/{line.key}" if line.key else "" for line in report.lines) if report.by is By.BED else ()
    return Table(columns, rows, _rate(t(TOTAL), report.total, localizer), shares_of(rates), links)


def line_label(by: By, line: RateLine, localizer: Localizer) -> str:
    """What a line stands for."""
    if by is By.SPACING and line.key:
        return localizer.spacing(float(line.key))
    if by in (By.DAY, By.WEEK):
        return localizer.date(date.fromisoformat(line.key))
    if by is By.HOUR:
        hour, _, again = line.key.partition(" ")
        clock = localizer.clock(time.fromisoformat(hour))
        return localizer.t("{hour} again (clock set back)", hour=clock) if again else clock
    return localizer.name(line.label)


def shares_of(figures: Sequence[float]) -> tuple[float, ...]:
    """Each figure as a share of the greatest."""
    greatest = max(figures, default=0.0)
    return tuple(figure / greatest if greatest else 0.0 for figure in figures)


def _rate(label: str, line: RateLine, localizer: Localizer) -> list[str]:
    done = line.work
    return [
        label,
        localizer.number(done.rows, 1),
        localizer.number(localizer.in_units(done.length_mm), 1),
        localizer.fixed(line.plants),
        localizer.minutes(done.row_time_s),
        localizer.minutes(done.stop_time_s),
        localizer.minutes(done.turn_time_s),
        localizer.length_figure(done.working_mm_per_h),
        localizer.length_figure(done.effective_mm_per_h),
        localizer.percent(done.field_efficiency),
        localizer.length_figure(done.mm_per_person_h),
        localizer.fixed(line.plants_per_h),
        localizer.fixed(line.plants_per_person_h),
        localizer.number(line.misses, 1),
    ]


def rows_table(report: RatesReport, localizer: Localizer) -> Table:
    """The counted rows with everything that is needed to work their rates out by hand (see `how_to_check`)."""
    t, unit = localizer.t, localizer.unit
    columns = (
        Column(t(BY[By.ROW]), words=True),
        Column(unit),
        Column(t("spacing")),
        Column(t("start")),
        Column(t("end")),
        Column(t("min")),
        Column(t("stop\nmin")),
        Column(t("turn\nmin")),
        Column(t("crew"), words=True),
        Column(t("misses")),
        Column(t("working\n{unit}/h", unit=unit)),
        Column(t("effective\n{unit}/h", unit=unit)),
        Column(t("plants\nper h")),
    )
    rows = tuple(_row(row, row.timed, localizer) for row in report.rows if row.timed)
    return Table(columns, rows, _rows_total(report.total, localizer))


def sowing_name(sowing: Sowing) -> str:
    """Crop, variety and code."""
    return " ".join(part for part in (sowing.crop, sowing.variety, sowing.code) if part)


def how_to_check(farm: FarmFacts, localizer: Localizer) -> str:
    """How each figure of the rows is worked out."""
    return localizer.t(
        "min = end - start; turn = the time since the row before in the same planting, if that is no more than "
        "{longest_turn} min. Working = {unit} / (min - stop) × 60; effective = {unit} / (min + turn) × 60; "
        "plants/h = effective / spacing.",
        longest_turn=localizer.minutes(farm.setting("longest_turn_s"), 0),
        unit=localizer.unit,
    )


def _row(row: LoggedRow, timed: TimedRow, localizer: Localizer) -> list[str]:
    done, spacing_mm = work(timed), row.place.spacing_mm
    return [
        localizer.row(row),
        localizer.length_figure(row.length_mm, 1),
        localizer.spacing(spacing_mm) if spacing_mm else NO_VALUE,
        localizer.clock(timed.start, seconds=True),
        localizer.clock(timed.end, seconds=True),
        localizer.minutes(timed.duration_s, 2),
        localizer.minutes(timed.stopped_s, 2),
        localizer.minutes(timed.turn_s, 2),
        localizer.name(" + ".join(row.crew)),
        str(row.misses),
        localizer.length_figure(done.working_mm_per_h),
        localizer.length_figure(done.effective_mm_per_h),
        localizer.fixed(done.plants_per_h) if spacing_mm else NO_VALUE,
    ]


def _rows_total(total: RateLine, localizer: Localizer) -> list[str]:
    done = total.work
    return [
        localizer.t(TOTAL),
        localizer.length_figure(done.length_mm, 1),
        *("", "", ""),
        localizer.minutes(done.row_time_s + done.stop_time_s, 2),
        localizer.minutes(done.stop_time_s, 2),
        localizer.minutes(done.turn_time_s, 2),
        "",
        localizer.number(total.misses, 1),
        localizer.length_figure(done.working_mm_per_h),
        localizer.length_figure(done.effective_mm_per_h),
        localizer.fixed(total.plants_per_h),
    ]


def stands_table(report: StandsReport, localizer: Localizer) -> Table:
    """The stand of each planting."""
    t = localizer.t
    columns = (
        Column(t(BY[By.PLANTING]), words=True),
        Column(t("rows")),
        Column(t("spacing")),
        Column(t("places")),
        Column(t("misses")),
        Column(t("filled")),
        Column(t("doubles")),
        Column(t("planted\nstand")),
        Column(t("counted\nstand")),
        Column(t("counted\non")),
        Column(t("95%\ninterval"), words=True),
    )
    links = (f"/bed/{stand.bed_id}#planting-{stand.planting_id}" if stand.bed_id else "" for stand in report.plantings)
    return Table(columns, tuple(_stand(stand, localizer) for stand in report.plantings), links=tuple(links))


def _stand(stand: PlantingStand, localizer: Localizer) -> list[str]:
    counted = stand.counted
    interval = counted.stand.interval if counted else None
    return [
        localizer.name(stand.label),
        str(stand.rows),
        localizer.spacing(stand.spacing_mm) if stand.spacing_mm else NO_VALUE,
        localizer.fixed(stand.positions),
        str(stand.misses),
        str(stand.filled),
        str(stand.doubles),
        localizer.percent(stand.planted, 1),
        localizer.percent(counted.stand.proportion, 1) if counted else NO_VALUE,
        localizer.date(counted.on if counted else None),
        localizer.percent_range(interval.low, interval.high) if interval else NO_VALUE,
    ]
