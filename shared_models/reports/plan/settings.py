"""What the plan goes by: the farm's own figures for trays, bench and hours, and how fast its own rows went."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Self

from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.pace.rates import By, RateLine, rates_of
from shared_models.reports.rows.rows import LoggedRow
from shared_models.trade.planning.sowing_plan import FarmRates

#: A planting holds its bed at least so many days: hardly any crop is cleared sooner. Common practice, no source.
BED_HELD_DAYS = 28.0
#: The farm's figures for the plan, with what holds where none is entered; None: no usual figure.
PLAN_SETTINGS: Mapping[str, float | None] = MappingProxyType(
    {
        "mix_l_per_tray": None,
        "trays_sown_per_h": None,
        "tending_h_per_tray_week": None,
        "bench_room_trays": None,
        "hours_a_week": None,
        "bed_held_days": BED_HELD_DAYS,
    }
)
#: Rows of a crop from which on its own rate is gone by; with fewer, that of all rows. Common practice, no source.
ENOUGH_ROWS = 3


@dataclass(frozen=True, slots=True)
class PlanFigures:
    """The farm's figures for the plan. None where none is entered: nothing that needs it is worked out."""

    mix_l_per_tray: float | None
    trays_sown_per_h: float | None
    tending_h_per_tray_week: float | None
    bench_room_trays: float | None
    hours_a_week: float | None
    bed_held_days: float

    @classmethod
    def of(cls, farm: FarmFacts) -> Self:
        given = {name: _setting(farm, name, usual) for name, usual in PLAN_SETTINGS.items()}
        held = given.pop("bed_held_days")
        return cls(**given, bed_held_days=BED_HELD_DAYS if held is None else held)

    def rates(self, used: RateUsed | None, *, sowing: bool = True) -> FarmRates:
        """As the trade's plan wants them, for plantings that go at this rate; `sowing`: with the hours of sowing."""
        return FarmRates(
            mix_l_per_tray=self.mix_l_per_tray or 0.0,
            tray_m2=0.0,
            trays_sown_per_h=self.trays_sown_per_h if sowing else None,
            row_mm_per_h=used.mm_per_person_h if used else None,
            tending_h_per_tray_week=self.tending_h_per_tray_week or 0.0,
        )


def _setting(farm: FarmFacts, name: str, usual: float | None) -> float | None:
    value = farm.thresholds.get(name)
    if value is None or not math.isfinite(value) or value < 0 or (name == "trays_sown_per_h" and not value):
        return usual
    return value


@dataclass(frozen=True, slots=True)
class RateUsed:
    """Row length of one person's hour by the farm's own rows, and how many they are. Without a crop: all its rows."""

    crop: str | None
    mm_per_person_h: float
    rows: int


class OwnRates:
    """How fast the farm's rows went, by crop. A crop with too few rows goes by all of them."""

    def __init__(self, rows: Sequence[LoggedRow], farm: FarmFacts) -> None:
        report = rates_of(rows, By.CROP, farm)
        self._by_crop = {line.key: used for line in report.lines if (used := _used(line.label, line, ENOUGH_ROWS))}
        self._all = _used(None, report.total, 1)

    def of(self, crop: str) -> RateUsed | None:
        """The rate to go by for a crop; None while the farm has no row."""
        return self._by_crop.get(crop.casefold(), self._all)

    def used_for(self, crops: Iterable[str]) -> tuple[RateUsed, ...]:
        """Each rate that is gone by for these crops, once; that of all rows at the end."""
        found = {used for crop in crops if (used := self.of(crop))}
        return tuple(sorted(found, key=lambda used: (used.crop is None, (used.crop or "").casefold())))


def _used(crop: str | None, line: RateLine, enough: int) -> RateUsed | None:
    rate, rows = line.work.mm_per_person_h, round(line.work.rows)
    return RateUsed(crop, rate, rows) if rate and rows >= enough else None
