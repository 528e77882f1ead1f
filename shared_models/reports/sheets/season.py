"""What did a season come to: beds, crops, successions, totals, and what was to be planted?"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from sqlmodel import col, select

from shared_models.records.tables import Planting, Sowing
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.filters import Filters
from shared_models.reports.common.references import References, in_order
from shared_models.reports.pace.rates import By, RatesReport, rates_of
from shared_models.reports.rows.rows import load_rows
from shared_models.reports.sheets.costs import CostSheet, cost_sheet
from shared_models.reports.stand.stands import PlantingStand, stands_of


@dataclass(frozen=True, slots=True)
class Succession:
    """One sowing of a crop, and what became of it. `days_after` counts from the planting of the sowing before."""

    sowing: Sowing
    beds: tuple[str, ...]
    planted_from: date | None
    planted_until: date | None
    days_after: int | None
    plants: float | None
    misses: int
    filled: int


@dataclass(frozen=True, slots=True)
class SeasonSheet:
    """One season. `unplanted` plantings are planned on the days selected and have no row yet."""

    total: RatesReport
    by_crop: RatesReport
    by_bed: RatesReport
    stands: tuple[PlantingStand, ...]
    successions: tuple[Succession, ...]
    unplanted: tuple[tuple[str, date], ...]
    costs: CostSheet | None


def season_sheet(context: ReportContext, filters: Filters, *, with_costs: bool) -> SeasonSheet:
    """The season on the days selected, reading its rows once. Costs are for whoever may see wages."""
    farm, rows = context.farm, load_rows(context, filters)
    planted = {row.place.planting_id for row in rows}
    stands = stands_of(context, planted, rows).plantings
    return SeasonSheet(
        total=rates_of(rows, By.WEEK, farm),
        by_crop=rates_of(rows, By.CROP, farm),
        by_bed=rates_of(rows, By.BED, farm),
        stands=stands,
        successions=tuple(_successions(stands, context.references)),
        unplanted=tuple(_unplanted(context, planted, filters)),
        costs=cost_sheet(context, rows, stands) if with_costs else None,
    )


def _successions(stands: Sequence[PlantingStand], names: References) -> Iterable[Succession]:
    sown = names.sown_in({stand.planting_id for stand in stands})
    by_sowing: dict[str, list[PlantingStand]] = defaultdict(list)
    for stand in stands:
        if stand.planting_id in sown:
            by_sowing[sown[stand.planting_id].id].append(stand)
    sowings = {sowing.id: sowing for sowing in sown.values()}
    known = [(sowings[each], inside) for each, inside in by_sowing.items()]
    known.sort(key=lambda each: (in_order(each[0].crop), _first(each[1]) or date.max, each[0].id))
    before: tuple[str, date | None] = ("", None)
    for sowing, inside in known:
        first, crop = _first(inside), sowing.crop.casefold()
        gap = (first - before[1]).days if first and before[0] == crop and before[1] else None
        yield _succession(sowing, inside, gap)
        before = (crop, first or before[1])


def _first(stands: Iterable[PlantingStand]) -> date | None:
    return min((stand.planted_from for stand in stands if stand.planted_from), default=None)


def _succession(sowing: Sowing, stands: Sequence[PlantingStand], days_after: int | None) -> Succession:
    positions = [stand.positions for stand in stands]
    return Succession(
        sowing=sowing,
        beds=tuple(dict.fromkeys(stand.bed for stand in stands)),
        planted_from=_first(stands),
        planted_until=max((stand.planted_until for stand in stands if stand.planted_until), default=None),
        days_after=days_after,
        plants=sum(each or 0.0 for each in positions) if None not in positions else None,
        misses=sum(stand.misses for stand in stands),
        filled=sum(stand.filled for stand in stands),
    )


def _unplanted(context: ReportContext, planted: set[str], filters: Filters) -> Iterable[tuple[str, date]]:
    names = context.references
    query = select(Planting).where(
        Planting.farm_id == context.farm.id, col(Planting.voided).is_(False), col(Planting.planned_on).is_not(None)
    )
    planned = {
        planting.id: planting.planned_on
        for planting in context.session.exec(query)
        if planting.planned_on and filters.covers(planting.planned_on) and planting.id not in planted
    }
    names.look_up(planned)
    waiting = [(on, names.place(planting)) for planting, on in planned.items()]
    for on, place in sorted(waiting, key=lambda each: (each[0], in_order(each[1].label))):
        if filters.bed in (None, place.bed_id) and filters.grows(place.crop):
            yield place.label, on
