"""The farm of a report: its clock, its units and its own limits."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import date, datetime
from enum import StrEnum
from typing import Any
from zoneinfo import ZoneInfo

from sqlmodel import Session

from shared_models.core.moments import on_clock
from shared_models.core.vocabulary import LengthUnits
from shared_models.errors import BadQuantity
from shared_models.records.tables import Farm
from shared_models.trade.pace.missed_taps import TIMES_AS_SLOW
from shared_models.trade.pace.pace import LONGEST_TURN_S
from shared_models.trade.soil.readiness import SoilThresholds
from shared_models.trade.stand.stand import SPARE_FRACTION

#: A soil check older than this no longer says how the bed is now. Common practice, no source; the farm's setting.
SOIL_CHECK_FRESH_H = 24.0
#: The farm's limits that are not about soil, with what holds where the farm says nothing.
SETTINGS: Mapping[str, float] = {
    "longest_turn_s": LONGEST_TURN_S,
    "spare_fraction": SPARE_FRACTION,
    "soil_check_fresh_h": SOIL_CHECK_FRESH_H,
    "times_as_slow": TIMES_AS_SLOW,
    "stand_count_from_days": 7,
    "stand_count_until_days": 14,
}


@dataclass(frozen=True, slots=True)
class FarmFacts:
    """The facts about a farm that reports need. Before its record arrives: UTC and feet."""

    id: str
    name: str = ""
    zone: ZoneInfo = field(default_factory=lambda: ZoneInfo("UTC"))
    units: LengthUnits = LengthUnits.FEET
    southern: bool = False
    thresholds: Mapping[str, float] = field(default_factory=dict)

    def local(self, at: datetime) -> datetime:
        return on_clock(at, self.zone)

    def day(self, at: datetime) -> date:
        return self.local(at).date()

    def season(self, day: date) -> str:
        """The season of a day: the year, or south of the equator the two years from July to June."""
        if not self.southern:
            return str(day.year)
        first = day.year if day.month >= 7 else day.year - 1  # noqa: PLR2004 - July
        return f"{first}/{(first + 1) % 100:02}"

    def season_begins(self, day: date) -> date:
        if not self.southern:
            return date(day.year, 1, 1)
        return date(day.year if day.month >= 7 else day.year - 1, 7, 1)  # noqa: PLR2004 - July

    def setting(self, name: str) -> float:
        """One of `SETTINGS` as the farm has set it; impossible figures are ignored."""
        value = self.thresholds.get(name, SETTINGS[name])
        return value if math.isfinite(value) and value >= 0 else SETTINGS[name]

    def soil_thresholds(self) -> SoilThresholds:
        """The farm's limits over the defaults. Limits that contradict each other are all ignored."""
        usual = SoilThresholds()
        own: dict[str, Any] = {
            limit.name: _limit(getattr(usual, limit.name), self.thresholds[limit.name])
            for limit in fields(usual)
            if limit.name in self.thresholds
        }
        try:
            return replace(usual, **own)
        except BadQuantity:
            return usual


def _limit(usual: StrEnum | float, value: float) -> StrEnum | float:
    """A limit given as a word is set by its rank, 0 for the first word."""
    if not isinstance(usual, StrEnum):
        return value
    ranks = tuple(type(usual))
    return ranks[int(value)] if 0 <= value < len(ranks) else usual


def farm_facts(session: Session, farm: str) -> FarmFacts:
    """Look the farm up."""
    record = session.get(Farm, (farm, farm))
    if record is None:
        return FarmFacts(farm)
    return FarmFacts(
        farm,
        record.name,
        ZoneInfo(record.zone),
        LengthUnits(record.units),
        record.latitude is not None and record.latitude < 0,
        record.thresholds,
    )
