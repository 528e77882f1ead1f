"""What the page of a day shows, in words and figures ready to print. The template only lays it out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import NamedTuple

from server.render.localizer import Speech
from server.render.tables import (
    BY,
    STOPS,
    Column,
    Table,
    how_to_check,
    rates_table,
    rows_table,
    shares_of,
    stands_table,
)
from shared_models.core.units import SECONDS_PER_HOUR
from shared_models.errors import BadQuantity
from shared_models.i18n.formats import NOT_TOLD, in_farm_units
from shared_models.reports.pace.rates import By, RateLine, RatesReport
from shared_models.reports.sheets.day import DaySheet, PlantingDays
from shared_models.reports.sheets.heat import heat_said
from shared_models.reports.soil.beds import BedSoil
from shared_models.reports.soil.wording import NOBODY_LOOKED, READINESS, ago, limiting_factor, seen, state, why
from shared_models.reports.stand.stands import PlantingStand
from shared_models.trade.stand.stand import planted_stand

#: How many checks of a bed are listed.
HISTORY = 5


class Figure(NamedTuple):
    """One of the day's few big figures."""

    label: str
    value: str
    unit: str
    beside: str


class Check(NamedTuple):
    """A soil check in the history of a bed."""

    at: str
    readiness: str
    verdict: str
    factor: str
    seen: str
    note: str
    looks: tuple[str, ...]


class BedNow(NamedTuple):
    """A bed's soil: `sign` is the name of the sign to draw beside the words."""

    bed_id: str
    name: str
    sign: str
    state: str
    why: str
    checked: str
    checks: tuple[Check, ...]


class ToFill(NamedTuple):
    """The rows of one planting that have misses left."""

    planting: str
    rows: tuple[tuple[int, int], ...]
    spares: int


class ToLookAt(NamedTuple):
    """An entry that needs a look. `link` leads to where it is corrected."""

    label: str
    reasons: tuple[str, ...]
    day: date | None
    link: str = ""


@dataclass(frozen=True, slots=True)
class DayPage:
    """Everything on the page of a day."""

    day: date
    day_words: str
    before: date | None
    after: date | None
    any_rows: bool
    figures: tuple[Figure, ...]
    rates: tuple[tuple[str, Table], ...]
    person_rate: str
    time: Table
    rows: Table
    how_to_check: str
    stands: Table
    stand_looks: tuple[str, ...]
    fill: tuple[ToFill, ...]
    soil: tuple[BedNow, ...]
    heat: tuple[str, ...]
    looks: tuple[ToLookAt, ...]


def day_page(sheet: DaySheet, days: PlantingDays, now: datetime, speech: Speech) -> DayPage:
    """Turn a day's sheet into its page."""
    farm, say = sheet.farm, speech.say
    by_row = sheet.rates[By.ROW]
    return DayPage(
        day=sheet.day,
        day_words=speech.day_in_full(sheet.day),
        before=days.before(sheet.day),
        after=days.after(sheet.day),
        any_rows=bool(by_row.rows),
        figures=tuple(day_figures(by_row.total, speech)),
        rates=tuple(_rates(sheet, speech)),
        person_rate=say("{far} per person-h", far=speech.unit),
        time=time_table(by_row, speech),
        rows=rows_table(by_row, speech),
        how_to_check=how_to_check(farm, speech),
        stands=stands_table(sheet.stands, speech),
        stand_looks=tuple(
            f"{speech.name(stand.label)}: {speech.told(look)}"
            for stand in sheet.stands.plantings
            for look in stand.looks
        ),
        fill=tuple(to_fill(sheet.stands.plantings, speech)),
        soil=tuple(bed_now(bed, speech) for bed in sheet.soil.beds if bed.checks or not bed.retired),
        heat=heat_said(sheet.heat, speech) if sheet.heat else (),
        looks=tuple(_looks(sheet, days, farm.day(now), speech)),
    )


def day_figures(total: RateLine, speech: Speech) -> Iterable[Figure]:
    """The few big figures of some work."""
    done, far, say = total.work, speech.unit, speech.say
    row, per_h = speech.short(in_farm_units(done.length_mm, speech.units)), say("{far}/h", far=far)
    yield Figure(say("Row planted"), row, far, say("{n} rows", n=speech.short(done.rows)))
    yield Figure(say("Plants set"), speech.fixed(total.plants), "", _misses(total, speech))
    person_hours = speech.fixed(done.person_s / SECONDS_PER_HOUR, 1)
    yield Figure(
        say("In the field"),
        speech.fixed(done.field_time_s / SECONDS_PER_HOUR, 1),
        "h",
        say("{n} person-hours", n=person_hours),
    )
    yield Figure(
        say("Effective rate"),
        speech.far(done.effective_mm_per_h),
        per_h,
        say(
            "working {rate} {far}/h, field efficiency {share}",
            rate=speech.far(done.working_mm_per_h),
            far=far,
            share=speech.percent(done.field_efficiency, 0),
        ),
    )
    plants = say("{n} plants", n=speech.fixed(total.plants_per_person_h))
    yield Figure(say("Per person and hour"), speech.far(done.mm_per_person_h), far, plants)
    yield Figure(say("Planted stand"), _planted(total, speech), "", say("of the places set"))


def _misses(total: RateLine, speech: Speech) -> str:
    counts = {name: speech.short(getattr(total, name)) for name in ("misses", "filled", "doubles")}
    return speech.say("misses {misses}, filled {filled}, doubles {doubles}", **counts)


def _planted(total: RateLine, speech: Speech) -> str:
    if not total.plants:
        return NOT_TOLD
    try:
        return speech.percent(planted_stand(total.plants, round(total.misses), round(total.filled)))
    except BadQuantity:
        return NOT_TOLD


def _rates(sheet: DaySheet, speech: Speech) -> Iterable[tuple[str, Table]]:
    for by in (By.BED, By.CREW, By.PERSON, By.HOUR):
        yield speech.say("By {what}", what=speech.say(BY[by])), rates_table(sheet.rates[by], speech)


def time_table(report: RatesReport, speech: Speech) -> Table:
    """Where the field time went: pulling, each reason for stops, turning."""
    done, say = report.total.work, speech.say
    stops = [
        (say("stop: {reason}", reason=say(STOPS[reason])), stop.seconds, str(stop.count))
        for reason, stop in report.stops
    ]
    spent = [
        (say("pulling"), done.row_time_s, ""),
        *stops,
        (say("turning at the headland"), done.turn_time_s, ""),
    ]
    columns = (
        Column(say("time for"), words=True),
        Column(say("times")),
        Column(say("min")),
        Column(say("of field\ntime")),
    )
    rows = tuple(
        (what, count, speech.minutes(seconds), speech.percent(_share(seconds, done.field_time_s), 0))
        for what, seconds, count in spent
    )
    total = (say("field time"), "", speech.minutes(done.field_time_s), speech.percent(1.0, 0))
    return Table(columns, rows, total, shares_of([seconds for _, seconds, _ in spent]))


def _share(part: float, whole: float) -> float | None:
    return part / whole if whole else None


def to_fill(stands: Iterable[PlantingStand], speech: Speech) -> Iterable[ToFill]:
    """The plantings that have misses left."""
    for stand in stands:
        if stand.fill.to_fill:
            rows = tuple((line.row, line.to_fill) for line in stand.fill.lines)
            yield ToFill(speech.name(stand.label), rows, stand.fill.spares)


def bed_now(bed: BedSoil, speech: Speech) -> BedNow:
    """A bed's soil, and the last looks at it."""
    checks = tuple(
        Check(
            speech.stamp(check.at),
            check.verdict.readiness.value,
            speech.say(READINESS[check.verdict.readiness]),
            limiting_factor(check.verdict, speech),
            seen(check.look, speech),
            check.note,
            tuple(speech.told(look) for look in check.looks),
        )
        for check in bed.checks[:HISTORY]
    )
    name, now = speech.name(bed.bed), bed.now
    if now is None:
        return BedNow(bed.bed_id, name, "look", state(bed, speech), speech.say(NOBODY_LOOKED), "", checks)
    checked = speech.say("checked {ago}", ago=ago(bed.checked_h_ago or 0.0, speech))
    sign = "look" if bed.stale else now.readiness.value
    return BedNow(bed.bed_id, name, sign, state(bed, speech), why(now, speech), checked, checks)


def _looks(sheet: DaySheet, days: PlantingDays, today: date, speech: Speech) -> Iterable[ToLookAt]:
    say, day = speech.say, sheet.day
    for look in sheet.looks:
        reasons = tuple(speech.told(reason) for reason in look.reasons)
        label, link = speech.name(speech.told(look.label)), f"/log/{look.kind}/{look.id}"
        yield ToLookAt(label, reasons, look.day if look.day != day else None, link)
    for other in days.with_open_rows():
        if other != day:
            rows = say("Rows of {day}", day=speech.day_in_full(other))
            yield ToLookAt(rows, (say("Some were started but not ended."),), other)
    for future in days.open_rows:
        if future > today and future != day:
            rows = say("Rows of {day}", day=speech.day_in_full(future))
            yield ToLookAt(rows, (say("They are dated in the future."),), future)
