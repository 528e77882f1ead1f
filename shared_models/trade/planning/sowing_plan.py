"""What must be sown when, and how many trays, how much seed, mix, bench space and time does it take?

Everything is worked back from the planting date. Weeks are ISO weeks (Monday to Sunday). A tray stands on the bench
from the day it is sown to the day before it is planted.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import NamedTuple

from shared_models.errors import BadQuantity
from shared_models.trade.chain import CELLS_PER_TRAY, chain_mm, plants_in_bed, trays_for
from shared_models.trade.raising.empties import trays_to_sow
from shared_models.trade.raising.germination import p_cell_empty
from shared_models.trade.validation import not_negative, positive, whole, within

DAYS_PER_WEEK = 7


class Week(NamedTuple):
    """An ISO week: its year and number. The first days of January may belong to the last week of the year before."""

    year: int
    number: int

    @classmethod
    def of(cls, day: date) -> Week:
        """Week that holds a day."""
        year, number, _ = day.isocalendar()
        return cls(year, number)

    @property
    def monday(self) -> date:
        """First day of the week."""
        return date.fromisocalendar(self.year, self.number, 1)


@dataclass(frozen=True, slots=True)
class PlantingWish:
    """One crop wanted in one bed on one day.

    `grow_days` is the time from sowing to planting; `surely` the wanted chance that spare plants cover every empty cell
    (None: no extra trays); `clustering` how much alike the cells of a tray fail; `bed_free_on` the day the bed can be
    planted again, if it is known.
    """

    planting: str
    bed: str
    crop: str
    plant_on: date
    rows: int
    row_mm: float
    spacing_mm: float
    grow_days: int
    seeds_per_cell: int = 1
    germination: float = 1.0
    surely: float | None = None
    clustering: float = 0.0
    cells_per_tray: int = CELLS_PER_TRAY
    bed_free_on: date | None = None

    def __post_init__(self) -> None:
        """Refuse a wish that no bed or tray can fulfil."""
        whole("grow_days", self.grow_days)
        positive("germination", self.germination)
        within("germination", self.germination, 0, 1)
        if self.bed_free_on is not None and self.bed_free_on < self.plant_on:
            raise BadQuantity("bed_free_on", self.bed_free_on.isoformat(), f"on {self.plant_on} or after")


@dataclass(frozen=True, slots=True)
class FarmRates:
    """The farm's own figures: what a tray takes, and what a person does in an hour.

    No defaults: nobody else's rates will do. `row_mm_per_h` is row length per person and hour of field time, turns and
    stops included. A rate that the farm cannot tell is None; the hours it would give are left out.
    """

    mix_l_per_tray: float
    tray_m2: float
    trays_sown_per_h: float | None
    row_mm_per_h: float | None
    tending_h_per_tray_week: float = 0.0

    def __post_init__(self) -> None:
        """Refuse rates that never get done."""
        for name in ("mix_l_per_tray", "tray_m2", "tending_h_per_tray_week"):
            not_negative(name, getattr(self, name))
        for name in ("trays_sown_per_h", "row_mm_per_h"):
            if getattr(self, name) is not None:
                positive(name, getattr(self, name))


@dataclass(frozen=True, slots=True)
class Sowing:
    """What one planting takes, worked back to its sowing day. `extra_trays` of the trays are for spare plants."""

    wish: PlantingWish
    sow_on: date
    plants: int
    trays: int
    extra_trays: int
    seeds: int
    empty_cells: float
    chain_mm: float
    row_mm: float
    mix_l: float


@dataclass(frozen=True, slots=True)
class BenchWeek:
    """Trays on the bench on the fullest day of a week, and the room that they take."""

    week: Week
    trays: int
    area_m2: float


@dataclass(frozen=True, slots=True)
class WeekHours:
    """Person-hours of a week."""

    week: Week
    sowing_h: float = 0.0
    tending_h: float = 0.0
    planting_h: float = 0.0

    @property
    def total_h(self) -> float:
        """All person-hours of the week."""
        return self.sowing_h + self.tending_h + self.planting_h


@dataclass(frozen=True, slots=True)
class Totals:
    """A season's order list."""

    plants: int = 0
    trays: int = 0
    seeds: dict[str, int] = field(default_factory=dict)
    mix_l: float = 0.0
    chain_mm: float = 0.0


def plan_sowing(wish: PlantingWish, rates: FarmRates) -> Sowing:
    """Work one planting back to its sowing: the day, the trays, the seed, the mix.

    Formula: sowing day = planting day - days to grow. Plants = rows x whole plants of a row. Trays = plants / cells per
        tray, raised to the next whole tray; with a wanted chance, the trays that leave enough plants after empty cells.
        Seeds = trays x cells x seeds per cell. Empty cells to expect = trays x cells x (1 - germination) ^ seeds per
        cell. Chain = trays x cells x spacing. Mix = trays x mix per tray.
    Units: lengths in mm, mix in litres, germination 0 to 1.
    Source: arithmetic of `chain.py`, `germination.py` and `empties.py`.
    Raises: BadQuantity: when a length, count or chance cannot be.
    """
    plants = plants_in_bed(wish.rows, wish.row_mm, wish.spacing_mm)
    p_empty = p_cell_empty(wish.germination, wish.seeds_per_cell)
    least = trays_for(plants, wish.cells_per_tray)
    trays = least
    if wish.surely is not None and plants:
        trays = trays_to_sow(plants, p_empty, wish.surely, wish.clustering, wish.cells_per_tray).trays
    cells = trays * wish.cells_per_tray
    return Sowing(
        wish=wish,
        sow_on=wish.plant_on - timedelta(wish.grow_days),
        plants=plants,
        trays=trays,
        extra_trays=trays - least,
        seeds=cells * wish.seeds_per_cell,
        empty_cells=cells * p_empty,
        chain_mm=trays * chain_mm(wish.spacing_mm, wish.cells_per_tray),
        row_mm=wish.rows * wish.row_mm,
        mix_l=trays * rates.mix_l_per_tray,
    )


def bench_by_week(sowings: Iterable[Sowing], rates: FarmRates) -> list[BenchWeek]:
    """Trays on the bench week by week, from the first week with a tray to the last, empty weeks included.

    Formula: for each day the trays sown on or before it and planted after it; the week's figure is its fullest day.
        Area = trays x area of a tray.
    Units: trays; square metres.
    Source: common practice, no source.
    """
    per_day: defaultdict[date, int] = defaultdict(int)
    for sowing in sowings:
        for day in _bench_days(sowing):
            per_day[day] += sowing.trays
    fullest: defaultdict[Week, int] = defaultdict(int)
    for day, trays in per_day.items():
        fullest[Week.of(day)] = max(fullest[Week.of(day)], trays)
    return [BenchWeek(week, fullest[week], fullest[week] * rates.tray_m2) for week in _weeks(per_day)]


def hours_by_week(sowings: Sequence[Sowing], rates: FarmRates) -> list[WeekHours]:
    """Person-hours week by week, from the first week with work to the last, empty weeks included.

    Formula: sowing = trays / trays sown per hour, in the week of the sowing day; tending = trays x days on the bench in
        that week / 7 x hours per tray and week; planting = row length / row length per person and hour, in the week of
        the planting day. Without a rate, no hours.
    Units: person-hours; row length in mm.
    Source: common practice, no source; the rates are the farm's own.
    """
    sown: defaultdict[Week, float] = defaultdict(float)
    tended: defaultdict[Week, float] = defaultdict(float)
    planted: defaultdict[Week, float] = defaultdict(float)
    for sowing in sowings:
        sown[Week.of(sowing.sow_on)] += _hours(sowing.trays, rates.trays_sown_per_h)
        planted[Week.of(sowing.wish.plant_on)] += _hours(sowing.row_mm, rates.row_mm_per_h)
        for day in _bench_days(sowing):
            tended[Week.of(day)] += sowing.trays * rates.tending_h_per_tray_week / DAYS_PER_WEEK
    days = [day for sowing in sowings for day in (sowing.sow_on, sowing.wish.plant_on)]
    return [WeekHours(week, sown[week], tended[week], planted[week]) for week in _weeks(days)]


def totals(sowings: Sequence[Sowing]) -> Totals:
    """Add up what a list of sowings takes: the order for seed, trays, mix and chain.

    Formula: sums; seeds by crop.
    Units: plants, trays, seeds; litres; mm of chain.
    Source: arithmetic.
    """
    seeds: defaultdict[str, int] = defaultdict(int)
    for sowing in sowings:
        seeds[sowing.wish.crop] += sowing.seeds
    return Totals(
        plants=sum(sowing.plants for sowing in sowings),
        trays=sum(sowing.trays for sowing in sowings),
        seeds=dict(seeds),
        mix_l=sum(sowing.mix_l for sowing in sowings),
        chain_mm=sum(sowing.chain_mm for sowing in sowings),
    )


def _hours(work: float, per_h: float | None) -> float:
    return work / per_h if per_h else 0.0


def _bench_days(sowing: Sowing) -> Iterator[date]:
    return (sowing.sow_on + timedelta(days) for days in range(sowing.wish.grow_days))


def _weeks(days: Iterable[date]) -> Iterator[Week]:
    """Every week from that of the first day to that of the last."""
    days = list(days)
    if not days:
        return
    monday, last = Week.of(min(days)).monday, max(days)
    while monday <= last:
        yield Week.of(monday)
        monday += timedelta(DAYS_PER_WEEK)
