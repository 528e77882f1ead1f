"""What stands in the tables of the reports, for the text and for the office's page alike. Figures are rounded here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from server.render.localizer import Speech
from shared_models.core.vocabulary import StopReason
from shared_models.i18n.formats import NOT_TOLD, in_farm_units
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
STOPS: Mapping[StopReason, str] = {reason: reason.replace("_", " ") for reason in StopReason}


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


def rates_table(report: RatesReport, speech: Speech) -> Table:
    """One line for each bed, person, hour or whatever is asked; shares compare the rate of one person's hour."""
    say, far = speech.say, speech.unit
    columns = (
        Column(say(BY[report.by]), words=True),
        Column(say("rows"), detail=True),
        Column(say("row\n{far}", far=far)),
        Column(say("plants")),
        Column(say("row\nmin"), detail=True),
        Column(say("stop\nmin"), detail=True),
        Column(say("turn\nmin"), detail=True),
        Column(say("working\n{far}/h", far=far), detail=True),
        Column(say("effective\n{far}/h", far=far)),
        Column(say("field\nefficiency"), detail=True),
        Column(say("{far} per\nperson-h", far=far)),
        Column(say("plants\nper h")),
        Column(say("plants per\nperson-h"), detail=True),
        Column(say("misses")),
    )
    rates = [line.work.mm_per_person_h or 0.0 for line in report.lines]
    rows = tuple(_rate(line_label(report.by, line, speech), line, speech) for line in report.lines)
    links = tuple(f"/bed/{line.key}" if line.key else "" for line in report.lines) if report.by is By.BED else ()
    return Table(columns, rows, _rate(say(TOTAL), report.total, speech), shares_of(rates), links)


def line_label(by: By, line: RateLine, speech: Speech) -> str:
    """What a line stands for."""
    if by is By.SPACING and line.key:
        return speech.spacing(float(line.key))
    if by in (By.DAY, By.WEEK):
        return speech.date_figures(date.fromisoformat(line.key))
    if by is By.HOUR and line.label != line.key:
        return speech.say("{hour} again (clock set back)", hour=line.key.split()[0])
    return speech.name(line.label)


def shares_of(figures: Sequence[float]) -> tuple[float, ...]:
    """Each figure as a share of the greatest."""
    greatest = max(figures, default=0.0)
    return tuple(figure / greatest if greatest else 0.0 for figure in figures)


def _rate(label: str, line: RateLine, speech: Speech) -> list[str]:
    done = line.work
    return [
        label,
        speech.short(done.rows),
        speech.short(in_farm_units(done.length_mm, speech.units)),
        speech.fixed(line.plants),
        speech.minutes(done.row_time_s),
        speech.minutes(done.stop_time_s),
        speech.minutes(done.turn_time_s),
        speech.far(done.working_mm_per_h),
        speech.far(done.effective_mm_per_h),
        speech.percent(done.field_efficiency, 0),
        speech.far(done.mm_per_person_h),
        speech.fixed(line.plants_per_h),
        speech.fixed(line.plants_per_person_h),
        speech.short(line.misses),
    ]


def rows_table(report: RatesReport, speech: Speech) -> Table:
    """The counted rows with everything that is needed to work their rates out by hand (see `how_to_check`)."""
    say, far = speech.say, speech.unit
    columns = (
        Column(say(BY[By.ROW]), words=True),
        Column(far),
        Column(say("spacing")),
        Column(say("start")),
        Column(say("end")),
        Column(say("min")),
        Column(say("stop\nmin")),
        Column(say("turn\nmin")),
        Column(say("crew"), words=True),
        Column(say("misses")),
        Column(say("working\n{far}/h", far=far)),
        Column(say("effective\n{far}/h", far=far)),
        Column(say("plants\nper h")),
    )
    rows = tuple(_row(row, row.timed, speech) for row in report.rows if row.timed)
    return Table(columns, rows, _rows_total(report.total, speech))


def how_to_check(farm: FarmFacts, speech: Speech) -> str:
    """How each figure of the rows is worked out."""
    return speech.say(
        "min = end - start; turn = the time since the row before in the same planting, if that is no more than "
        "{longest_turn} min. Working = {far} / (min - stop) × 60; effective = {far} / (min + turn) × 60; "
        "plants/h = effective / spacing.",
        longest_turn=speech.minutes(farm.setting("longest_turn_s"), 0),
        far=speech.unit,
    )


def _row(row: LoggedRow, timed: TimedRow, speech: Speech) -> list[str]:
    done, spacing_mm = work(timed), row.place.spacing_mm
    return [
        speech.row(row),
        speech.far(row.length_mm, 1),
        speech.spacing(spacing_mm) if spacing_mm else NOT_TOLD,
        f"{speech.local(timed.start):%H:%M:%S}",
        f"{speech.local(timed.end):%H:%M:%S}",
        speech.minutes(timed.duration_s, 2),
        speech.minutes(timed.stopped_s, 2),
        speech.minutes(timed.turn_s, 2),
        speech.name(" + ".join(row.crew)),
        str(row.misses),
        speech.far(done.working_mm_per_h),
        speech.far(done.effective_mm_per_h),
        speech.fixed(done.plants_per_h) if spacing_mm else NOT_TOLD,
    ]


def _rows_total(total: RateLine, speech: Speech) -> list[str]:
    done = total.work
    return [
        speech.say(TOTAL),
        speech.far(done.length_mm, 1),
        *("", "", ""),
        speech.minutes(done.row_time_s + done.stop_time_s, 2),
        speech.minutes(done.stop_time_s, 2),
        speech.minutes(done.turn_time_s, 2),
        "",
        speech.short(total.misses),
        speech.far(done.working_mm_per_h),
        speech.far(done.effective_mm_per_h),
        speech.fixed(total.plants_per_h),
    ]


def stands_table(report: StandsReport, speech: Speech) -> Table:
    """The stand of each planting."""
    say = speech.say
    columns = (
        Column(say(BY[By.PLANTING]), words=True),
        Column(say("rows")),
        Column(say("spacing")),
        Column(say("places")),
        Column(say("misses")),
        Column(say("filled")),
        Column(say("doubles")),
        Column(say("planted\nstand")),
        Column(say("counted\nstand")),
        Column(say("counted\non")),
        Column(say("95 %\ninterval"), words=True),
    )
    links = (f"/bed/{stand.bed_id}#planting-{stand.planting_id}" if stand.bed_id else "" for stand in report.plantings)
    return Table(columns, tuple(_stand(stand, speech) for stand in report.plantings), links=tuple(links))


def _stand(stand: PlantingStand, speech: Speech) -> list[str]:
    counted = stand.counted
    interval = counted.stand.interval if counted else None
    return [
        speech.name(stand.label),
        str(stand.rows),
        speech.spacing(stand.spacing_mm) if stand.spacing_mm else NOT_TOLD,
        speech.fixed(stand.positions),
        str(stand.misses),
        str(stand.filled),
        str(stand.doubles),
        speech.percent(stand.planted),
        speech.percent(counted.stand.proportion) if counted else NOT_TOLD,
        speech.date_figures(counted.on if counted else None),
        speech.span_of(interval.low, interval.high) if interval else NOT_TOLD,
    ]
