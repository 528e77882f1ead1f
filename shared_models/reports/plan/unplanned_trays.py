"""Trays that stand without a planting: what is left of each sowing when its plantings have taken theirs."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import timedelta

from shared_models.records.tables import Sowing
from shared_models.reports.common.filters import Filters
from shared_models.reports.common.references import References, in_order
from shared_models.reports.plan.schedule import LONGEST_DAYS, PlanBasis, PlannedPlanting
from shared_models.reports.plan.settings import PlanFigures
from shared_models.reports.plan.trays import window_of
from shared_models.trade.chain import chain_mm, plants_in_bed, trays_for
from shared_models.trade.planning.sowing_plan import PlantingWish, plan_sowing
from shared_models.trade.planning.sowing_plan import Sowing as WorkedBack
from shared_models.trade.raising.growing_time import Window


@dataclass(frozen=True, slots=True)
class TraysWaiting:
    """Trays of a sowing for which no planting is planned, and when they should be planted.

    `trays` is None where the number sown is not entered.
    """

    sowing: Sowing
    trays: int | None
    window: Window


def trays_waiting(
    names: References, lines: Sequence[PlannedPlanting], begun: frozenset[str], basis: PlanBasis, filters: Filters
) -> tuple[TraysWaiting, ...]:
    """The sowings whose window is not over and that have trays left, by the end of their windows.

    A planting is taken to use the trays that fill its bed. Where one bed or planting is requested there are none.
    """
    if filters.bed or filters.planting:
        return ()
    taken = trays_used(names, begun)
    for line in lines:
        if line.sowing and line.takes:
            taken[line.sowing.id] += line.takes.trays
    planned = {planting.sowing for planting in names.plantings.values() if not planting.voided}
    found = []
    for sowing in names.sowings.values():
        window = window_of(sowing)
        if sowing.voided or window is None or not filters.grows(sowing.crop):
            continue
        if window.ready_until < basis.today or (sowing.sown_on and sowing.sown_on > basis.furthest):
            continue
        left = None if sowing.trays is None else sowing.trays - taken[sowing.id]
        if sowing.id not in planned if left is None else left > 0:
            found.append(TraysWaiting(sowing, left, window))
    return tuple(sorted(found, key=lambda each: (each.window.ready_until, in_order(each.sowing.code), each.sowing.id)))


def trays_used(names: References, begun: frozenset[str]) -> Counter[str]:
    """Trays that the begun plantings of each sowing have taken, by the size of their beds."""
    used: Counter[str] = Counter()
    for planting in (names.plantings[each] for each in begun if each in names.plantings):
        bed, sowing = names.beds.get(planting.bed), names.sowings.get(planting.sowing)
        if bed and sowing and sowing.cells_per_tray and not planting.voided:
            plants = plants_in_bed(bed.rows, bed.length_mm, sowing.spacing_mm)
            used[sowing.id] += trays_for(plants, sowing.cells_per_tray)
    return used


def bench_use_of(waiting: Iterable[TraysWaiting], figures: PlanFigures) -> list[WorkedBack]:
    """The waiting trays as they stand on the bench, from their sowing to the last day they should be planted."""
    return [takes for each in waiting if (takes := _bench_use(each, figures))]


def _bench_use(waiting: TraysWaiting, figures: PlanFigures) -> WorkedBack | None:
    sowing = waiting.sowing
    if not (waiting.trays and sowing.sown_on and sowing.cells_per_tray):
        return None
    days = min(LONGEST_DAYS, max(0, (waiting.window.ready_until - sowing.sown_on).days))
    wish = PlantingWish(
        planting="",
        bed="",
        crop=sowing.crop,
        plant_on=sowing.sown_on + timedelta(days=days),
        rows=1,
        row_mm=waiting.trays * chain_mm(sowing.spacing_mm, sowing.cells_per_tray),
        spacing_mm=sowing.spacing_mm,
        grow_days=days,
        cells_per_tray=sowing.cells_per_tray,
    )
    return plan_sowing(wish, figures.rates(None))
