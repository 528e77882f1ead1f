"""What did the plants that live cost, by the farm's own wages and prices? For the owner only."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sqlmodel import col, select

from shared_models.core.units import SECONDS_PER_HOUR
from shared_models.errors import BadQuantity
from shared_models.records.tables import Farm, Person
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.references import References
from shared_models.reports.rows.rows import LoggedRow
from shared_models.reports.stand.stands import PlantingStand
from shared_models.trade.planning.cost import (
    Costs,
    HandSetting,
    Inputs,
    Prices,
    chain_cost,
    hand_set_cost,
    per_established_plant,
)

#: How the farm's prices are called in its record, by what they are of. `hour` is the wage of whoever has none entered.
PRICES = {"hour": "hour", "seed": "seed", "chain": "chain_per_tray", "mix": "mix_per_tray", "plug": "plug"}


@dataclass(frozen=True, slots=True)
class PlantingCost:
    """What one planting cost, in all and for each living plant; `counted` says that the stand was counted."""

    planting_id: str
    label: str
    costs: Costs
    each: Costs
    established: float
    counted: bool


@dataclass(frozen=True, slots=True)
class CostSheet:
    """The costs of plantings, each and in total; nothing is calculated while prices are `lacking`.

    `by_hand` is what each plant would have cost, set from plug trays at the farm's own pace, every plug taken to live.
    `left_out` plantings have no stand, no place or trays without cells.
    """

    lacking: tuple[str, ...]
    plantings: tuple[PlantingCost, ...] = ()
    total: Costs | None = None
    each: Costs | None = None
    by_hand: Costs | None = None
    established: float = 0.0
    left_out: int = 0


def cost_sheet(context: ReportContext, rows: Iterable[LoggedRow], stands: Sequence[PlantingStand]) -> CostSheet:
    """The costs of these plantings by their rows in the field. Hours of sowing and filling are not logged."""
    farm = context.farm.id
    record = context.session.get(Farm, (farm, farm))
    prices = {name: price for name, price in record.prices.items() if price >= 0} if record else {}
    wages = _wages(context)
    by_planting: dict[str, list[LoggedRow]] = defaultdict(list)
    for row in rows:
        if row.timed:
            by_planting[row.place.planting_id].append(row)
    worked = {person for own in by_planting.values() for row in own for person in row.crew_ids or ("",)}
    lacking = [name for of, name in PRICES.items() if of != "hour" and name not in prices]
    if PRICES["hour"] not in prices and not worked <= wages.keys():
        lacking.insert(0, PRICES["hour"])
    if lacking:
        return CostSheet(tuple(lacking))
    usual = prices.get(PRICES["hour"], 0.0)
    pay = _Pay(prices, wages, usual)
    costed = [
        cost for stand in stands if (cost := _planting(stand, by_planting[stand.planting_id], context.references, pay))
    ]
    return _together(costed, len(stands) - len(costed), record, pay)


@dataclass(frozen=True, slots=True)
class _Pay:
    """The farm's prices by name, people's wages, and the wage of whoever has none entered."""

    prices: Mapping[str, float]
    wages: Mapping[str, float]
    usual: float

    def at(self, hour: float) -> Prices:
        return Prices(hour=hour, **{of: self.prices[name] for of, name in PRICES.items() if of != "hour"})


def _wages(context: ReportContext) -> dict[str, float]:
    query = select(Person).where(Person.farm_id == context.farm.id, col(Person.wage_per_hour).is_not(None))
    return {person.id: person.wage_per_hour or 0.0 for person in context.session.exec(query)}


def _planting(stand: PlantingStand, rows: Sequence[LoggedRow], names: References, pay: _Pay) -> PlantingCost | None:
    planting = names.plantings.get(stand.planting_id)
    sowing = names.sowings.get(planting.sowing) if planting and rows else None
    share = stand.counted.stand.proportion if stand.counted else stand.planted
    if sowing is None or not sowing.cells_per_tray or not stand.positions or not share:
        return None
    hours, labor = _labor(rows, pay)
    inputs = Inputs(
        length_mm=stand.length_mm,
        positions=stand.positions,
        stand=share,
        person_hours=hours,
        trays=stand.positions / sowing.cells_per_tray,
        seeds=stand.positions * sowing.seeds_per_cell,
        fill_plugs=stand.filled,
    )
    costs = chain_cost(inputs, pay.at(labor / hours if hours else pay.usual))
    each = per_established_plant(costs, stand.positions, share)
    return PlantingCost(stand.planting_id, stand.label, costs, each, stand.positions * share, stand.counted is not None)


def _labor(rows: Iterable[LoggedRow], pay: _Pay) -> tuple[float, float]:
    hours = money = 0.0
    for row in rows:
        if row.timed:
            took = (row.timed.duration_s + row.timed.turn_s) / SECONDS_PER_HOUR
            for person in row.crew_ids or ("",):
                hours += took
                money += took * pay.wages.get(person, pay.usual)
    return hours, money


def _together(costed: Sequence[PlantingCost], left_out: int, record: Farm | None, pay: _Pay) -> CostSheet:
    established = sum(cost.established for cost in costed)
    if not established:
        return CostSheet((), left_out=left_out)
    total = sum((cost.costs for cost in costed), Costs())
    return CostSheet(
        lacking=(),
        plantings=tuple(costed),
        total=total,
        each=total.shared_by(established),
        by_hand=_by_hand(record, pay),
        established=established,
        left_out=left_out,
    )


def _by_hand(record: Farm | None, pay: _Pay) -> Costs | None:
    """One living plant set from plug trays by hand, where the farm tells its pace and the price of an hour."""
    pace = record.plug_tray_plants_per_person_hour if record else None
    try:
        return hand_set_cost(1.0, HandSetting(pace or 0.0, 1.0), pay.at(pay.usual)) if pay.usual else None
    except BadQuantity:
        return None
