"""What the page of the plan shows: what cannot be done, plantings to come, weeks, the order, and what comes next."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from server.office.reports.charts.base import Bar, Chart, bars
from server.office.shell.query import FilterForm
from server.office.shell.view import Figure
from server.render.localizer import Localizer
from server.render.plan_tables import (
    ahead_table,
    assumptions,
    conflict_text,
    order_text,
    plantings_table,
    seeds_table,
    waiting_table,
    weeks_table,
)
from server.render.tables import Table
from shared_models.reports.plan.sheet import PlanSheet
from shared_models.reports.plan.weeks import PlanWeek

#: More weeks than this make no picture that can be read.
MOST_WEEKS = 30


@dataclass(frozen=True, slots=True)
class PlanPage:
    """Everything on the page of the plan."""

    form: FilterForm
    conflicts: tuple[str, ...]
    figures: tuple[Figure, ...]
    plantings: Table
    charts: tuple[Chart, ...]
    left_out: str
    weeks: Table
    order: str
    seeds: Table
    waiting: Table
    ahead: Table
    assumptions: tuple[str, ...]


def plan_page(sheet: PlanSheet, form: FilterForm, localizer: Localizer) -> PlanPage:
    """Turn the plan into its page."""
    left_out = len(sheet.weeks) > MOST_WEEKS
    return PlanPage(
        form=form,
        conflicts=tuple(conflict_text(each, localizer) for each in sheet.conflicts),
        figures=tuple(_figures(sheet, localizer)) if sheet.plantings else (),
        plantings=plantings_table(sheet.plantings, localizer),
        charts=tuple(_charts(sheet, localizer)),
        left_out=localizer.t("The picture has the first {n}; the table has all.", n=MOST_WEEKS) if left_out else "",
        weeks=weeks_table(sheet, localizer),
        order=order_text(sheet, localizer) if sheet.plantings else "",
        seeds=seeds_table(sheet, localizer),
        waiting=waiting_table(sheet.waiting, localizer),
        ahead=ahead_table(sheet.successions, localizer),
        assumptions=tuple(assumptions(sheet, localizer)),
    )


def _figures(sheet: PlanSheet, localizer: Localizer) -> Iterable[Figure]:
    t, tn = localizer.t, localizer.tn
    beds = len({line.place.bed_id for line in sheet.plantings})
    in_beds = tn("{n} bed", "{n} beds", beds)
    yield Figure(t("Upcoming plantings"), localizer.fixed(len(sheet.plantings)), "", in_beds)
    yield Figure(t("Plants to set"), localizer.fixed(sheet.total.plants), "", "")
    to_sow = tn("{n} tray still to sow", "{n} trays still to sow", sheet.to_sow.trays)
    yield Figure(t("Trays for them"), localizer.fixed(sheet.total.trays), "", to_sow)
    hours = [line.person_h for line in sheet.plantings]
    if sheet.rates:
        person_h = sum(each for each in hours if each is not None)
        yield Figure(t("To plant them"), localizer.fixed(person_h, 1), "h", t("person-hours, from your own rows"))


def _charts(sheet: PlanSheet, localizer: Localizer) -> Iterable[Chart]:
    t, figures = localizer.t, sheet.figures
    kinds: tuple[tuple[Callable[[PlanWeek], float | None], int, str, float | None, str], ...] = (
        (
            lambda week: week.trays,
            0,
            t("trays on the bench, in the week from"),
            figures.bench_room_trays,
            t("room on the bench"),
        ),
        (
            lambda week: week.hours,
            1,
            t("hours of one person, in the week from"),
            figures.hours_a_week,
            t("hours available"),
        ),
    )
    for figure, digits, title, limit, name in kinds:
        lines = tuple(
            Bar(
                localizer.date(week.monday),
                value,
                localizer.fixed(value, digits),
                limit is not None and value > limit,
            )
            for week in sheet.weeks[:MOST_WEEKS]
            if (value := figure(week)) is not None
        )
        if any(bar.value for bar in lines):
            yield bars(lines, title, localizer, (limit, name) if limit is not None else None)
