"""What of the plan cannot be done as it stands, with plantings and beds by their names."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, timedelta

from shared_models.reports.common.references import References
from shared_models.reports.plan.schedule import LONGEST_DAYS, PlanBasis, PlannedPlanting, PlanRecords
from shared_models.reports.plan.unplanned_trays import trays_used
from shared_models.trade.planning.conflicts import (
    Conflict,
    age_conflict,
    bed_conflicts,
    bench_conflicts,
    hour_conflicts,
    late_planting,
    late_sowings,
    tray_conflicts,
)
from shared_models.trade.planning.sowing_plan import BenchWeek, PlantingWish, WeekHours, plan_sowing
from shared_models.trade.planning.sowing_plan import Sowing as WorkedBack


def conflicts_of(
    lines: Sequence[PlannedPlanting],
    every: Sequence[PlannedPlanting],
    on_bench: Iterable[BenchWeek],
    worked: Iterable[WeekHours],
    records: PlanRecords,
    basis: PlanBasis,
) -> list[Conflict]:
    """The conflicts of these lines, by the day they begin. Beds and trays are shared with `every` planting to come."""
    figures, planned, names = basis.figures, {line.planting_id for line in lines}, records.names
    found = [each for line in lines for each in _alone(line, basis.today)]
    found += [each for each in _beds(every, records, basis) if not planned.isdisjoint(each.plantings)]
    found += [each for each in _trays(every, records) if not planned.isdisjoint(each.plantings)]
    if figures.bench_room_trays is not None:
        found += bench_conflicts(on_bench, int(figures.bench_room_trays))
    if figures.hours_a_week is not None:
        found += hour_conflicts(worked, figures.hours_a_week)
    return sorted((_named(each, names) for each in found), key=lambda each: (each.begins, each.kind, each.plantings))


def _alone(line: PlannedPlanting, today: date) -> Iterable[Conflict]:
    """Conflicts of a planting by itself: its day has passed, too late to sow, trays too young or too old."""
    late = late_planting(line.planting_id, line.planned_on, today)
    if late:
        yield late
    if line.takes and line.sow_by and line.sowing and line.sowing.sown_on is None:
        yield from late_sowings([replace(line.takes, sow_on=line.sow_by)], today)
    age = age_conflict(line.planting_id, line.plant_on, line.window) if line.window else None
    if age:
        yield age


def _beds(every: Iterable[PlannedPlanting], records: PlanRecords, basis: PlanBasis) -> list[Conflict]:
    """Beds that a planting to come shares with another, or with one that was planted lately.

    Nobody logs when a bed is cleared, so each planting is taken to hold its bed for the least number of days.
    """
    held = timedelta(days=min(LONGEST_DAYS, basis.figures.bed_held_days))
    taken = [line.takes for line in every if line.takes]
    taken += [each for planting, on in records.planted.items() if (each := _done(planting, on, records.names, basis))]
    return bed_conflicts(
        replace(each, wish=replace(each.wish, bed_free_on=each.wish.plant_on + held)) for each in taken
    )


def _done(planting: str, on: date, names: References, basis: PlanBasis) -> WorkedBack | None:
    record, place = names.plantings.get(planting), names.place(planting)
    bed = names.beds.get(record.bed) if record and not record.voided else None
    if bed is None or place.spacing_mm is None:
        return None
    wish = PlantingWish(planting, bed.id, place.crop, on, bed.rows, bed.length_mm, place.spacing_mm, grow_days=0)
    return plan_sowing(wish, basis.figures.rates(None))


def _trays(every: Iterable[PlannedPlanting], records: PlanRecords) -> Iterable[Conflict]:
    """Plantings for which too few trays of their sowing are left."""
    used = trays_used(records.names, records.begun)
    wanted: defaultdict[str, list[WorkedBack]] = defaultdict(list)
    for line in every:
        if line.sowing and line.takes and line.sowing.trays is not None:
            wanted[line.sowing.id].append(line.takes)
    for sowing, takes in wanted.items():
        yield from tray_conflicts(takes, max(0, (records.names.sowings[sowing].trays or 0) - used[sowing]))


def _named(conflict: Conflict, names: References) -> Conflict:
    labels = tuple(names.place(planting).label for planting in conflict.plantings)
    return replace(conflict, plantings=labels, bed=names.bed(conflict.bed) if conflict.bed else None)
