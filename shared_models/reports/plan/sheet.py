"""What is to be planted and sown when, what does it take, and what of it cannot be done?"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from sqlmodel import Session, col, select

from shared_models.records.tables import Planting, RowPass
from shared_models.reports.common.farm import FarmFacts, farm_facts
from shared_models.reports.common.filters import Filters
from shared_models.reports.common.references import References, in_order
from shared_models.reports.plan.conflicts import conflicts_of
from shared_models.reports.plan.schedule import (
    LONGEST_DAYS,
    Gathered,
    Ground,
    PlannedPlanting,
    own_growing_times,
    worked_back,
)
from shared_models.reports.plan.settings import OwnRates, PlanFigures, RateUsed
from shared_models.reports.plan.successions import SuccessionAhead, successions_ahead
from shared_models.reports.plan.trays import places_of, sowing_trays, tray_checks
from shared_models.reports.plan.unplanned_trays import TraysWaiting, standing, trays_waiting
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


def plan(session: Session, farm: str, today: date, filters: Filters | None = None) -> PlanSheet:
    """The plan of the plantings asked about; without days asked for, of this season and the year to come."""
    facts, names = farm_facts(session, farm), References(session, farm)
    year = Filters(since=today - timedelta(days=LONGEST_DAYS), until=today + timedelta(days=1))  # a clock may be fast
    rows = load_rows(session, facts, year, names)
    query = select(RowPass.planting).where(RowPass.farm_id == farm, col(RowPass.voided).is_(False)).distinct()
    begun = frozenset(session.exec(query))
    records = Gathered(names, rows, _planted(rows, facts), begun, tray_checks(session, farm))
    return plan_of(facts, records, today, filters or Filters())


def plan_of(farm: FarmFacts, records: Gathered, today: date, filters: Filters) -> PlanSheet:
    """The plan from records that were gathered before."""
    names, figures = records.names, PlanFigures.of(farm)
    ground = Ground(today, figures, OwnRates(records.rows, farm), own_growing_times(names.sowings.values()))
    every = _worked_back(farm, records, ground)
    lines = tuple(line for line in every if _asked(line, farm, filters, today))
    waiting = trays_waiting(names, every, records.begun, ground, filters)
    rest = standing(waiting, figures)
    on_bench, worked = bench(lines, rest, figures, today), hours(lines, rest, figures, today)
    return PlanSheet(
        today=today,
        plantings=lines,
        waiting=waiting,
        weeks=weeks_of(lines, on_bench, worked, figures, today),
        conflicts=tuple(conflicts_of(lines, every, on_bench, worked, records, ground)),
        successions=_successions(farm, records, ground, filters),
        rates=ground.rates.used_for({line.place.crop for line in lines}),
        total=totals([line.takes for line in lines if line.takes]),
        to_sow=totals([line.takes for line in lines if line.takes and not line.sown]),
        figures=figures,
    )


def _worked_back(farm: FarmFacts, records: Gathered, ground: Ground) -> list[PlannedPlanting]:
    """Every planting that is planned and not begun, by day and name."""
    names, room = records.names, places_of(records.names)
    coming = [each for each in names.plantings.values() if _to_come(each, records.begun, ground)]
    wanted = {each.sowing for each in coming} & names.sowings.keys()
    trays = {
        each: sowing_trays(farm, names.sowings[each], records.checks.get(each, ()), room.get(each), ground.today)
        for each in wanted
    }
    lines = [
        worked_back(each, names.place(each.id), names.beds.get(each.bed), trays.get(each.sowing), ground)
        for each in coming
    ]
    return sorted(lines, key=lambda line: (line.planned_on, in_order(line.place.label), line.planting_id))


def _to_come(planting: Planting, begun: frozenset[str], ground: Ground) -> bool:
    """Whether it is planned and not begun, for a day that can be planned for."""
    on = planting.planned_on
    return on is not None and on <= ground.furthest and not planting.voided and planting.id not in begun


def _successions(farm: FarmFacts, records: Gathered, ground: Ground, filters: Filters) -> tuple[SuccessionAhead, ...]:
    found = successions_ahead(records.names, records.planted, ground, farm.season_begins(ground.today))
    return tuple(each for each in found if filters.grows(each.crop))


def _asked(line: PlannedPlanting, farm: FarmFacts, filters: Filters, today: date) -> bool:
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
