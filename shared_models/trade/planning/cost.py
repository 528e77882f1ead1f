"""What does each established plant cost, and does the tool pay off against setting plugs by hand?

Money is in the farm's own currency, as plain numbers without rounding. Both ways of planting are compared per
established plant, because a cheap row with gaps is not cheap. Count the same work on both sides: all person-hours from
the sowing bench to the last fill, with the hours of raising inside the price of a plug.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace

from shared_models.errors import BadQuantity
from shared_models.trade.validation import not_negative, positive


@dataclass(frozen=True, slots=True)
class Inputs:
    """What went into a stretch of chain planting, a bed or a season.

    `positions` are the places for a plant in `length_mm` of row, `stand` the share of them with a living plant,
    `fill_plugs` the spare plants used for filling.
    """

    length_mm: float
    positions: float
    stand: float
    person_hours: float
    trays: float
    seeds: float
    fill_plugs: float = 0.0

    def __post_init__(self) -> None:
        positive("length_mm", self.length_mm)
        positive("positions", self.positions)
        _stand(self.stand)
        _none_negative(self)


@dataclass(frozen=True, slots=True)
class Prices:
    """What the farm pays: a person's hour, and one seed, one tray's chain, one tray's mix, one plug ready to set."""

    hour: float
    seed: float
    chain: float
    mix: float
    plug: float

    def __post_init__(self) -> None:
        _none_negative(self)


@dataclass(frozen=True, slots=True)
class HandSetting:
    """The farm's own baseline for plug trays set by hand: pace of one person and the stand it leaves."""

    plants_per_person_hour: float
    stand: float

    def __post_init__(self) -> None:
        positive("plants_per_person_hour", self.plants_per_person_hour)
        _stand(self.stand)


@dataclass(frozen=True, slots=True)
class Case:
    """A question of whether the tool pays: chain planting as recorded, the farm's prices, its baseline, the tool."""

    inputs: Inputs
    prices: Prices
    hand: HandSetting
    tool_price: float

    def __post_init__(self) -> None:
        not_negative("tool_price", self.tool_price)


@dataclass(frozen=True, slots=True)
class Costs:
    """Money by what it went to."""

    labor: float = 0.0
    seed: float = 0.0
    chain: float = 0.0
    mix: float = 0.0
    plugs: float = 0.0

    @property
    def total(self) -> float:
        """All parts together."""
        return self.labor + self.seed + self.chain + self.mix + self.plugs

    def __add__(self, other: Costs) -> Costs:
        return Costs(*(getattr(self, part.name) + getattr(other, part.name) for part in fields(self)))

    def shared_by(self, units: float) -> Costs:
        """Each part divided by so many units."""
        return Costs(*(getattr(self, part.name) / units for part in fields(self)))


@dataclass(frozen=True, slots=True)
class PayBack:
    """What the tool saves, and how much row it must plant to earn its price; None when it never does."""

    saved_per_established_plant: float
    length_mm: float | None
    rows: float | None
    seasons: float | None


@dataclass(frozen=True, slots=True)
class Swing:
    """One figure of the case moved to its low and its high end, all others kept."""

    figure: str
    low: float
    high: float
    at_low: PayBack
    at_high: PayBack


def chain_cost(inputs: Inputs, prices: Prices) -> Costs:
    """Cost of planting with the paper chain, part by part.

    Formula: hours × wage, seeds × price, trays × chain, trays × mix, filling plugs × price.
    Units: hours and counts; prices in the farm's currency; answer in the same currency, not rounded.
    Source: common practice, no source. Labor as people × hours × wage: J. W. Bartok, trade column on labor.
    """
    return Costs(
        labor=inputs.person_hours * prices.hour,
        seed=inputs.seeds * prices.seed,
        chain=inputs.trays * prices.chain,
        mix=inputs.trays * prices.mix,
        plugs=inputs.fill_plugs * prices.plug,
    )


def hand_set_cost(plants: float, hand: HandSetting, prices: Prices) -> Costs:
    """Cost of setting so many plugs by hand at the farm's own pace.

    Formula: plants / (plants per person-hour) × wage, plus plants × price of a plug.
    Units: plants; prices in the farm's currency; answer in the same currency, not rounded.
    Source: common practice, no source; the pace and the price of a plug are the farm's own figures.
    Raises: BadQuantity: when the plants are below 0.
    """
    not_negative("plants", plants)
    return Costs(labor=plants / hand.plants_per_person_hour * prices.hour, plugs=plants * prices.plug)


def per_established_plant(costs: Costs, positions: float, stand: float) -> Costs:
    """Cost, part by part, of each plant that lives.

    Formula: cost / (positions × stand).
    Units: positions in plants, stand as a proportion; answer in currency per plant.
    Source: common practice, no source.
    Raises: BadQuantity: when there is no position, or the stand is not above 0 and at most 1.
    """
    positive("positions", positions)
    _stand(stand)
    return costs.shared_by(positions * stand)


def pay_back(case: Case, row_mm: float, season_mm: float) -> PayBack:
    """How much row the tool must plant before it has earned its price against setting plugs by hand.

    Formula: saving per established plant = hand-set cost / (positions × hand-set stand) − chain cost / (positions ×
        chain stand); × established plants per length of row = saving per length; tool price / that = row to plant;
        over the length of a row = rows, over the row planted a year = seasons. Without a saving it never pays.
    Units: lengths in mm of row; money in the farm's currency; rows and seasons not rounded.
    Source: common practice, no source: simple payback, without interest or repairs.
    Raises: BadQuantity: when the row or the season's row is not above 0.
    """
    positive("row_mm", row_mm)
    positive("season_mm", season_mm)
    inputs, hand = case.inputs, case.hand
    by_chain = per_established_plant(chain_cost(inputs, case.prices), inputs.positions, inputs.stand)
    by_hand = per_established_plant(hand_set_cost(inputs.positions, hand, case.prices), inputs.positions, hand.stand)
    saved = by_hand.total - by_chain.total
    saved_per_mm = saved * inputs.positions * inputs.stand / inputs.length_mm
    length_mm = case.tool_price / saved_per_mm if saved_per_mm > 0 else None
    return PayBack(
        saved_per_established_plant=saved,
        length_mm=length_mm,
        rows=None if length_mm is None else length_mm / row_mm,
        seasons=None if length_mm is None else length_mm / season_mm,
    )


def sensitivity(
    case: Case, ranges: Mapping[str, tuple[float, float]], row_mm: float, season_mm: float
) -> tuple[Swing, ...]:
    """Which figure decides whether the tool pays: each moved alone to its low and high end, the widest swing first.

    Formula: pay_back with one figure replaced; swing = difference of the row to plant, "never" counting as endless.
    Units: as pay_back; each range in the unit of its figure, named as in "inputs.stand", "prices.hour", "tool_price".
    Source: common practice, no source: one-at-a-time sensitivity.
    Raises: BadQuantity: when the case has no such figure, a range is upside down, or an end of it cannot be.
    """
    swings = []
    for figure, (low, high) in ranges.items():
        if not low <= high:
            raise BadQuantity(figure, (low, high), "a range from low to high")
        at_low, at_high = (pay_back(_moved(case, figure, value), row_mm, season_mm) for value in (low, high))
        swings.append(Swing(figure, low, high, at_low, at_high))
    return tuple(sorted(swings, key=_width_mm, reverse=True))


def _moved(case: Case, figure: str, value: float) -> Case:
    part, _, field = figure.rpartition(".")
    if figure not in _figures(case):
        raise BadQuantity("figure", figure, f"one of {', '.join(_figures(case))}")
    if not part:
        return replace(case, tool_price=value)
    return replace(case, **{part: replace(getattr(case, part), **{field: value})})


def _figures(case: Case) -> list[str]:
    parts = ("inputs", "prices", "hand")
    return [f"{part}.{field.name}" for part in parts for field in fields(getattr(case, part))] + ["tool_price"]


def _width_mm(swing: Swing) -> float:
    low, high = (math.inf if end.length_mm is None else end.length_mm for end in (swing.at_low, swing.at_high))
    return 0.0 if low == high else abs(high - low)


def _stand(stand: float) -> None:
    if not 0 < stand <= 1:
        raise BadQuantity("stand", stand, "above 0 and at most 1")


def _none_negative(record: Inputs | Prices) -> None:
    for field in fields(record):
        not_negative(field.name, getattr(record, field.name))
