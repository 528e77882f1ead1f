"""What is to be planted and sown when, what does it take, and what of it cannot be done?"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from sqlmodel import col, select

from shared_models.records.tables import Planting, RowPass
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.common.filters import Filters
from shared_models.reports.common.references import in_order
from shared_models.reports.plan.conflicts import conflicts_of
from shared_models.reports.plan.schedule import (
    LONGEST_DAYS,
    PlanBasis,
    PlannedPlanting,
    PlanRecords,
    own_growing_times,
    schedule_planting,
)
from shared_models.reports.plan.settings import OwnRates, PlanFigures, RateUsed
from shared_models.reports.plan.successions import SuccessionAhead, successions_ahead
from shared_models.reports.plan.trays import places_of, sowing_trays, tray_checks
from shared_models.reports.plan.unplanned_trays import TraysWaiting, bench_use_of, trays_waiting
from shared_models.reports.plan.weeks import PlanWeek, bench, hours, weeks_of
from shared_models.reports.rows.rows import LoggedRow, day_of, load_rows
from shared_models.trade.planning.conflicts import Conflict
from shared_models.trade.planning.sowing_plan import Totals, totals


@dataclass(frozen=True, slots=True)
class PlanSheet:
    """The plan: plantings to come by day, trays that wait without a planting, weeks, conflicts, and what comes next.

    `to_sow` adds up what is not sown yet, `total` all of it. `rates` are the farm's own that the hours go by. Conflicts
    name plantings by their labels, and the bed.
    """

    today: date
    plantings: tuple[PlannedPlanting, ...]
    waiting: tuple[TraysWaiting, ...]
    weeks: tuple[PlanWeek, ...]
    conflicts: tuple[Conflict, ...]
    successions: tuple[SuccessionAhead, ...]
    rates: tuple[RateUsed, ...]
    total: Totals
    to_sow: Totals
    figures: PlanFigures


def plan(context: ReportContext, today: date, filters: Filters | None = None) -> PlanSheet:
    """The plan of the requested plantings; without days asked for, of this season and the year to come."""
    filters, farm, names = filters or Filters(), context.farm, context.references
    records, figures = _load(context, today), PlanFigures.of(farm)
    basis = PlanBasis(today, figures, OwnRates(records.rows, farm), own_growing_times(names.sowings.values()))
    every = _schedule_plantings(farm, records, basis)
    lines = tuple(line for line in every if _matches(line, farm, filters, today))
    waiting = trays_waiting(names, every, records.begun, basis, filters)
    rest = bench_use_of(waiting, figures)
    on_bench, worked = bench(lines, rest, figures, today), hours(lines, rest, figures, today)
    return PlanSheet(
        today=today,
        plantings=lines,
        waiting=waiting,
        weeks=weeks_of(lines, on_bench, worked, figures, today),
        conflicts=tuple(conflicts_of(lines, every, on_bench, worked, records, basis)),
        successions=tuple(
            each
            for each in successions_ahead(names, records.planted, basis, farm.season_begins(today))
            if filters.grows(each.crop)
        ),
        rates=basis.rates.used_for({line.place.crop for line in lines}),
        total=totals([line.takes for line in lines if line.takes]),
        to_sow=totals([line.takes for line in lines if line.takes and not line.sown]),
        figures=figures,
    )


def _load(context: ReportContext, today: date) -> PlanRecords:
    year = Filters(since=today - timedelta(days=LONGEST_DAYS), until=today + timedelta(days=1))  # a clock may be fast
    rows = load_rows(context, year)
    query = select(RowPass.planting).where(RowPass.farm_id == context.farm.id, col(RowPass.voided).is_(False))
    begun = frozenset(context.session.exec(query.distinct()))
    return PlanRecords(context.references, rows, _planted(rows, context.farm), begun, tray_checks(context))


def _schedule_plantings(farm: FarmFacts, records: PlanRecords, basis: PlanBasis) -> list[PlannedPlanting]:
    """Every planting that is planned and not begun, by day and name."""
    names, room = records.names, places_of(records.names)
    coming = [each for each in names.plantings.values() if _is_to_come(each, records.begun, basis)]
    wanted = {each.sowing for each in coming} & names.sowings.keys()
    trays = {
        each: sowing_trays(farm, names.sowings[each], records.checks.get(each, ()), room.get(each), basis.today)
        for each in wanted
    }
    lines = [
        schedule_planting(each, names.place(each.id), names.beds.get(each.bed), trays.get(each.sowing), basis)
        for each in coming
    ]
    return sorted(lines, key=lambda line: (line.planned_on, in_order(line.place.label), line.planting_id))


def _is_to_come(planting: Planting, begun: frozenset[str], basis: PlanBasis) -> bool:
    """Whether it is planned and not begun, for a day that can be planned for."""
    on = planting.planned_on
    return on is not None and on <= basis.furthest and not planting.voided and planting.id not in begun


def _matches(line: PlannedPlanting, farm: FarmFacts, filters: Filters, today: date) -> bool:
    first = filters.first or farm.season_begins(today)
    last = filters.last or today + timedelta(days=LONGEST_DAYS)
    return (
        first <= line.planned_on <= last
        and filters.bed in (None, line.place.bed_id)
        and filters.planting in (None, line.planting_id)
        and filters.grows(line.place.crop)
    )


def _planted(rows: Iterable[LoggedRow], farm: FarmFacts) -> dict[str, date]:
    """The first day of each planting that is begun."""
    first: dict[str, date] = {}
    for row in rows:
        day, planting = day_of(row, farm), row.place.planting_id
        first[planting] = min(day, first.get(planting, day))
    return first
