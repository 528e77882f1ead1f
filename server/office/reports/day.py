"""What the page of a day shows, in words and figures ready to print. The template only lays it out."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import NamedTuple

from server.office.shell.view import Figure
from server.render.localizer import Localizer
from server.render.tables import (
    BY,
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
from shared_models.i18n.formats import NO_VALUE
from shared_models.i18n.labels import READINESS, STOPS, inline
from shared_models.reports.pace.rates import By, RateLine, RatesReport
from shared_models.reports.sheets.day import DaySheet, PlantingDays
from shared_models.reports.sheets.heat import heat_lines
from shared_models.reports.soil.beds import BedSoil
from shared_models.reports.soil.wording import NOT_CHECKED, ago, limiting_factor, observation_text, state, why
from shared_models.reports.stand.stands import PlantingStand
from shared_models.trade.stand.stand import planted_stand

#: How many checks of a bed are listed.
HISTORY = 5


class Check(NamedTuple):
    """A soil check in the history of a bed."""

    at: str
    readiness: str
    verdict: str
    factor: str
    seen: str
    note: str
    issues: tuple[str, ...]


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


class AttentionItem(NamedTuple):
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
    stand_issues: tuple[str, ...]
    fill: tuple[ToFill, ...]
    soil: tuple[BedNow, ...]
    heat: tuple[str, ...]
    issues: tuple[AttentionItem, ...]


def day_page(sheet: DaySheet, days: PlantingDays, now: datetime, localizer: Localizer) -> DayPage:
    """Turn a day's sheet into its page."""
    farm, t = sheet.farm, localizer.t
    by_row = sheet.rates[By.ROW]
    return DayPage(
        day=sheet.day,
        day_words=localizer.full_date(sheet.day),
        before=days.before(sheet.day),
        after=days.after(sheet.day),
        any_rows=bool(by_row.rows),
        figures=tuple(day_figures(by_row.total, localizer)),
        rates=tuple(_rates(sheet, localizer)),
        person_rate=t("{unit} per person-h", unit=localizer.unit),
        time=time_table(by_row, localizer),
        rows=rows_table(by_row, localizer),
        how_to_check=how_to_check(farm, localizer),
        stands=stands_table(sheet.stands, localizer),
        stand_issues=tuple(
            f"{localizer.name(stand.label)}: {localizer.t_lazy(look)}"
            for stand in sheet.stands.plantings
            for look in stand.issues
        ),
        fill=tuple(to_fill(sheet.stands.plantings, localizer)),
        soil=tuple(bed_now(bed, localizer) for bed in sheet.soil.beds if bed.checks or not bed.retired),
        heat=heat_lines(sheet.heat, localizer) if sheet.heat else (),
        issues=tuple(_attention_items(sheet, days, farm.day(now), localizer)),
    )


def day_figures(total: RateLine, localizer: Localizer) -> Iterable[Figure]:
    """The few big figures of some work."""
    done, unit, t = total.work, localizer.unit, localizer.t
    row, per_h = localizer.number(localizer.in_units(done.length_mm), 1), t("{unit}/h", unit=unit)
    yield Figure(t("Row planted"), row, unit, t("{n} rows", n=localizer.number(done.rows, 1)))
    yield Figure(t("Plants set"), localizer.fixed(total.plants), "", _misses(total, localizer))
    person_hours = localizer.fixed(done.person_s / SECONDS_PER_HOUR, 1)
    yield Figure(
        t("In the field"),
        localizer.fixed(done.field_time_s / SECONDS_PER_HOUR, 1),
        "h",
        t("{n} person-hours", n=person_hours),
    )
    yield Figure(
        t("Effective rate"),
        localizer.length_figure(done.effective_mm_per_h),
        per_h,
        t(
            "working {rate} {unit}/h, field efficiency {share}",
            rate=localizer.length_figure(done.working_mm_per_h),
            unit=unit,
            share=localizer.percent(done.field_efficiency),
        ),
    )
    plants = t("{n} plants", n=localizer.fixed(total.plants_per_person_h))
    yield Figure(t("Per person and hour"), localizer.length_figure(done.mm_per_person_h), unit, plants)
    yield Figure(t("Planted stand"), _planted(total, localizer), "", t("of the places set"))


def _misses(total: RateLine, localizer: Localizer) -> str:
    counts = {name: localizer.number(getattr(total, name), 1) for name in ("misses", "filled", "doubles")}
    return localizer.t("misses {misses}, filled {filled}, doubles {doubles}", **counts)


def _planted(total: RateLine, localizer: Localizer) -> str:
    if not total.plants:
        return NO_VALUE
    try:
        return localizer.percent(planted_stand(total.plants, round(total.misses), round(total.filled)), 1)
    except BadQuantity:
        return NO_VALUE


def _rates(sheet: DaySheet, localizer: Localizer) -> Iterable[tuple[str, Table]]:
    for by in (By.BED, By.CREW, By.PERSON, By.HOUR):
        yield localizer.t("By {what}", what=localizer.t(BY[by])), rates_table(sheet.rates[by], localizer)


def time_table(report: RatesReport, localizer: Localizer) -> Table:
    """Where the field time went: pulling, each reason for stops, turning."""
    done, t = report.total.work, localizer.t
    stops = [
        (t("stop: {reason}", reason=inline(t(STOPS[reason]))), stop.seconds, str(stop.count))
        for reason, stop in report.stops
    ]
    spent = [
        (t("pulling"), done.row_time_s, ""),
        *stops,
        (t("turning at the headland"), done.turn_time_s, ""),
    ]
    columns = (
        Column(t("time for"), words=True),
        Column(t("times")),
        Column(t("min")),
        Column(t("of field\ntime")),
    )
    rows = tuple(
        (what, count, localizer.minutes(seconds), localizer.percent(_share(seconds, done.field_time_s)))
        for what, seconds, count in spent
    )
    total = (t("field time"), "", localizer.minutes(done.field_time_s), localizer.percent(1.0))
    return Table(columns, rows, total, shares_of([seconds for _, seconds, _ in spent]))


def _share(part: float, whole: float) -> float | None:
    return part / whole if whole else None


def to_fill(stands: Iterable[PlantingStand], localizer: Localizer) -> Iterable[ToFill]:
    """The plantings that have misses left."""
    for stand in stands:
        if stand.fill.to_fill:
            rows = tuple((line.row, line.to_fill) for line in stand.fill.lines)
            yield ToFill(localizer.name(stand.label), rows, stand.fill.spares)


def bed_now(bed: BedSoil, localizer: Localizer) -> BedNow:
    """A bed's soil, and the last looks at it."""
    checks = tuple(
        Check(
            localizer.date_time(check.at),
            check.verdict.readiness.value,
            inline(localizer.t(READINESS[check.verdict.readiness])),
            limiting_factor(check.verdict, localizer),
            observation_text(check.observed, localizer),
            check.note,
            tuple(localizer.t_lazy(look) for look in check.issues),
        )
        for check in bed.checks[:HISTORY]
    )
    name, now = localizer.name(bed.bed), bed.now
    if now is None:
        return BedNow(bed.bed_id, name, "look", state(bed, localizer), localizer.t(NOT_CHECKED), "", checks)
    checked = localizer.t("checked {ago}", ago=ago(bed.checked_h_ago or 0.0, localizer))
    sign = "look" if bed.stale else now.readiness.value
    return BedNow(bed.bed_id, name, sign, state(bed, localizer), why(now, localizer), checked, checks)


def _attention_items(sheet: DaySheet, days: PlantingDays, today: date, localizer: Localizer) -> Iterable[AttentionItem]:
    t, day = localizer.t, sheet.day
    for look in sheet.issues:
        reasons = tuple(localizer.t_lazy(reason) for reason in look.reasons)
        label, link = localizer.name(localizer.t_lazy(look.label)), f"/log/{look.kind}/{look.id}"
        yield AttentionItem(label, reasons, look.day if look.day != day else None, link)
    for other in days.with_open_rows():
        if other != day:
            rows = t("Rows of {day}", day=localizer.full_date(other))
            yield AttentionItem(rows, (t("Some were started but not ended."),), other)
    for future in days.open_rows:
        if future > today and future != day:
            rows = t("Rows of {day}", day=localizer.full_date(future))
            yield AttentionItem(rows, (t("They are dated in the future."),), future)
