"""What the page of the pace shows: how fast rows went, by what is asked, two of them compared, and what slowed them."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from server.office.reports.charts.base import Bar, Chart, bars
from server.office.reports.day import day_figures, time_table
from server.office.shell.query import FilterForm, PageQuery
from server.office.shell.view import Choice, Figure
from server.render.localizer import Localizer
from server.render.tables import BY, Column, Table, line_label, rates_table
from shared_models.reports.pace.compare import ENOUGH_PLANTINGS, Comparison, Side
from shared_models.reports.pace.rates import By, RateLine
from shared_models.reports.pace.sheet import PaceSheet

#: What the lines may stand for, in the order of the choice.
CHOICES = (
    *(By.CREW, By.PERSON, By.HOUR, By.DAY, By.WEEK, By.SEASON),
    *(By.CROP, By.SPACING, By.BED, By.PLANTING),
)
#: More bars than this make no picture; the table has every line.
MOST_BARS = 40


@dataclass(frozen=True, slots=True)
class Compared:
    """Two lines side by side: a table, the sentence that sums it up, and what to keep in mind."""

    table: Table
    sentence: str
    caveats: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PacePage:
    """Everything on the page of the pace."""

    form: FilterForm
    kept: tuple[tuple[str, str], ...]
    by: tuple[Choice, ...]
    days: str
    figures: tuple[Figure, ...]
    charts: tuple[Chart, ...]
    left_out: str
    table: Table
    heading: str
    person_rate: str
    first: tuple[Choice, ...]
    second: tuple[Choice, ...]
    compared: Compared | None
    time: Table
    baseline: str


def pace_page(
    sheet: PaceSheet, asked: PageQuery, form: FilterForm, localizer: Localizer, *, marked: bool = False
) -> PacePage:
    """Turn the sheet into its page; the two that are compared can be marked in the pictures."""
    t, report = localizer.t, sheet.report
    lines = report.lines[-MOST_BARS:]
    left_out = len(report.lines) - len(lines)
    keys = sheet.compared_keys
    return PacePage(
        form=form,
        kept=(*asked.pairs(), ("by", report.by.value)),
        by=tuple(Choice(by.value, t(BY[by]), by is report.by) for by in CHOICES),
        days=localizer.date_range(sheet.first, sheet.last),
        figures=tuple(day_figures(report.total, localizer)),
        charts=tuple(_charts(lines, sheet, keys if marked else (), localizer)),
        left_out=t("The picture has the last {n}; the table has all.", n=MOST_BARS) if left_out > 0 else "",
        table=rates_table(report, localizer),
        heading=t("By {what}", what=t(BY[report.by])),
        person_rate=t("{unit} per person-h", unit=localizer.unit),
        first=tuple(_choices(sheet, keys[0], localizer)),
        second=tuple(_choices(sheet, keys[1], localizer)),
        compared=_compared(sheet.comparison, report.by, localizer) if sheet.comparison else None,
        time=time_table(report, localizer),
        baseline=_baseline(sheet, localizer),
    )


def _charts(
    lines: Iterable[RateLine], sheet: PaceSheet, marked: Collection[str], localizer: Localizer
) -> Iterable[Chart]:
    """Row length, and plants, of one person's hour. The line of the plug trays stands where plants are drawn."""
    labels = {line.key: line_label(sheet.report.by, line, localizer) for line in lines}
    far = [
        Bar(labels[line.key], localizer.in_units(rate), localizer.length_figure(rate), line.key in marked)
        for line in lines
        if (rate := line.work.mm_per_person_h) is not None
    ]
    plants = [
        Bar(labels[line.key], rate, localizer.fixed(rate), line.key in marked)
        for line in lines
        if (rate := line.plants_per_person_h) is not None
    ]
    if far:
        yield bars(tuple(far), localizer.t("row {unit} per person and hour", unit=localizer.unit), localizer)
    if plants:
        line = (sheet.plug_tray, localizer.t("plug trays by hand")) if sheet.plug_tray else None
        yield bars(tuple(plants), localizer.t("plants per person and hour"), localizer, line)


def _choices(sheet: PaceSheet, chosen: str, localizer: Localizer) -> Iterable[Choice]:
    for line in sheet.report.lines:
        yield Choice(line.key, line_label(sheet.report.by, line, localizer), line.key == chosen)


def _compared(comparison: Comparison, by: By, localizer: Localizer) -> Compared:
    t, sides = localizer.t, (comparison.first, comparison.second)
    columns = (
        Column(t(BY[by]), words=True),
        Column(t("plantings")),
        Column(t("rows")),
        Column(t("row\n{unit}", unit=localizer.unit)),
        Column(t("{unit} per\nperson-h", unit=localizer.unit)),
        Column(t("plants per\nperson-h")),
        Column(t("field\nefficiency")),
        Column(t("misses per\n{thousand} plants", thousand=localizer.fixed(1000))),
    )
    names = tuple(line_label(by, side.line, localizer) for side in sides)
    rows = tuple(_side(name, side, localizer) for name, side in zip(names, sides, strict=True))
    return Compared(
        Table(columns, rows), _sentence(comparison, names, localizer), tuple(_caveats(comparison, localizer))
    )


def _side(name: str, side: Side, localizer: Localizer) -> tuple[str, ...]:
    line, done = side.line, side.line.work
    misses = 1000 * line.misses / line.plants if line.plants else None
    return (
        name,
        str(side.plantings),
        localizer.number(done.rows, 1),
        localizer.length_figure(done.length_mm),
        localizer.length_figure(done.mm_per_person_h),
        localizer.fixed(line.plants_per_person_h),
        localizer.percent(done.field_efficiency),
        localizer.fixed(misses, 1),
    )


def _sentence(comparison: Comparison, names: tuple[str, ...], localizer: Localizer) -> str:
    ratio, t = comparison.ratio, localizer.t
    if ratio is None:
        return t("Not enough rows to compare.")
    values = {"first": names[0], "second": names[1], "ratio": localizer.fixed(ratio.ratio, 2)}
    if ratio.low is None or ratio.high is None:
        return t("{first} planted {ratio} times the row length of {second} per person-hour.", **values)
    values |= {"low": localizer.fixed(ratio.low, 2), "high": localizer.fixed(ratio.high, 2)}
    if ratio.is_significant:
        return t(
            "{first} planted {ratio} times the row length of {second} per person-hour (95% interval {low} "
            "to {high}). That is more than chance would explain.",
            **values,
        )
    return t(
        "{first} planted {ratio} times the row length of {second} per person-hour (95% interval {low} to "
        "{high}). Could just be chance.",
        **values,
    )


def _caveats(comparison: Comparison, localizer: Localizer) -> Iterable[str]:
    t = localizer.t
    if not comparison.enough:
        yield t(
            "Too few plantings to be sure: rows of one planting share soil, plants and weather, so compare "
            "at least {n} plantings on each side.",
            n=ENOUGH_PLANTINGS,
        )
    if comparison.shared:
        yield t("{n} rows are counted on both sides.", n=comparison.shared)
    yield t("Crop, spacing, soil and row length may differ too. For a fair comparison, choose one crop.")


def _baseline(sheet: PaceSheet, localizer: Localizer) -> str:
    t, rate = localizer.t, sheet.report.total.plants_per_person_h
    if not sheet.plug_tray:
        return t(
            "Enter how many plugs one person sets by hand per hour (Set-up, The farm) to compare it with the chain."
        )
    if rate is None:
        return t("Plugs by hand: {hand} plants per person-hour.", hand=localizer.fixed(sheet.plug_tray))
    return t(
        "Plugs by hand: {hand} plants per person-hour. With the chain: {chain}, {ratio} times as many.",
        hand=localizer.fixed(sheet.plug_tray),
        chain=localizer.fixed(rate),
        ratio=localizer.fixed(rate / sheet.plug_tray, 1),
    )
