"""When will a wet bed be dry enough to plant again?

The top 100 mm are a store that rain fills and the air empties, in two stages (FAO-56, chapter 7): first as fast as the
air takes water, then ever slower. The feel test tells how full the store is and when it is fit.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise

from shared_models.core.vocabulary import Feel, Texture
from shared_models.errors import BadQuantity
from shared_models.trade.soil.evaporation import LAYER_MM, SurfaceSoil, evaporation_reduction, surface_soils
from shared_models.trade.soil.feel import available_water, water_capacity
from shared_models.trade.validation import not_negative, positive, within
from shared_models.trade.weather.weather import DayWeather, Place, daily_eto_mm

#: Days a soaked soil drains before it is at field capacity: least, likely, most. Common practice, no source.
DRAIN_DAYS = {
    Texture.COARSE: (0, 1, 1),
    Texture.MODERATELY_COARSE: (1, 1, 2),
    Texture.MEDIUM: (1, 2, 3),
    Texture.FINE: (2, 3, 4),
}
#: Less than this above field capacity is gone within the day. Common practice, no source.
SOAKED_MM = 2.0
#: How far the evapotranspiration may be off, as a share. Common practice, no source.
ETO_ERROR = 0.2
#: How far ahead to look.
HORIZON_DAYS = 30


@dataclass(frozen=True, slots=True)
class Ground:
    """What covers the ground: its crop, the most a wet surface evaporates, the shares wetted, and wetted in the sun."""

    kcb: float = 0.0
    kc_max: float = 1.2
    wetted: float = 1.0
    exposed: float = 1.0

    def __post_init__(self) -> None:
        """Refuse shares of ground that cannot be."""
        positive("kc_max", self.kc_max)
        within("kcb", self.kcb, 0, self.kc_max)
        for field in ("wetted", "exposed"):
            positive(field, getattr(self, field))
            within(field, getattr(self, field), 0, 1)


#: A bed without a crop, wetted all over: Kcb = 0 and, with a crop height of 0 in equation 72, Kc max = 1.2.
BARE = Ground()


@dataclass(frozen=True, slots=True)
class DayState:
    """One day of drying. Depletions are mm below field capacity: after the day's wetting, and in the evening."""

    on: date
    eto_mm: float
    depletion_start_mm: float
    kr: float
    ke: float
    evaporation_mm: float
    drained_mm: float
    depletion_end_mm: float


@dataclass(frozen=True, slots=True)
class FitWindow:
    """The first morning the bed may be fit, likely is, and surely is; None when that is later than 30 dry days."""

    earliest: date | None
    likely: date | None
    latest: date | None


@dataclass(frozen=True, slots=True)
class Moisture:
    """How full of available water the top soil is on one day after its rain: the least it may be, likely, the most."""

    on: date
    least: float
    likely: float
    most: float


def dry_day(day: DayWeather, eto_mm: float, soil: SurfaceSoil, depletion_mm: float, ground: Ground = BARE) -> DayState:
    """Let one day pass over the bed: wetting early in the day, then drying.

    Formula: De(start) = De - P - I/fw, not below 0, the rest drains; Ke = least of Kr (Kc max - Kcb) and few Kc max;
        De(end) = De(start) + Ke ETo / few, at most TEW; evaporation = few x (De(end) - De(start))
    Units: mm of water; coefficients and shares of ground without unit.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equations 71, 74, 77 and 79. Rain that
        runs off is not taken into account: leave it out of the rain.
    Raises: BadQuantity: when the evapotranspiration is negative or the depletion is not from 0 to TEW.
    """
    not_negative("eto_mm", eto_mm)
    within("depletion_mm", depletion_mm, 0, soil.tew_mm)
    wetting = day.rain_mm + day.irrigation_mm / ground.wetted
    start = max(0.0, depletion_mm - wetting)
    kr = evaporation_reduction(start, soil)
    ke = min(kr * (ground.kc_max - ground.kcb), ground.exposed * ground.kc_max)
    end = min(soil.tew_mm, start + ke * eto_mm / ground.exposed)
    drained = max(0.0, wetting - depletion_mm)
    return DayState(day.on, eto_mm, start, kr, ke, ground.exposed * (end - start), drained, end)


def dry_down(
    days: Sequence[DayWeather],
    soil: SurfaceSoil,
    start_depletion_mm: float,
    place: Place,
    ground: Ground = BARE,
    eto_factor: float = 1.0,
) -> list[DayState]:
    """Follow the bed's drying day by day from rain, irrigation and weather.

    Formula: the day's balance (dry_day) with the day's evapotranspiration, each evening's depletion the next morning's
    Units: mm of water; degrees north; metres.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, chapters 4 and 7.
    Raises: BadQuantity: when the days are not one after the other, no day tells its weather, or a depletion cannot be.
    """
    not_negative("eto_factor", eto_factor)
    _check_consecutive(days)
    states: list[DayState] = []
    depletion = start_depletion_mm
    for day, eto in zip(days, daily_eto_mm(days, place), strict=True):
        states.append(dry_day(day, eto * eto_factor, soil, depletion, ground))
        depletion = states[-1].depletion_end_mm
    return states


def fit_again(
    days: Sequence[DayWeather],
    texture: Texture,
    felt: Feel,
    place: Place,
    wettest_fit: Feel = Feel.MOIST,
    eto_error: float = ETO_ERROR,
) -> FitWindow:
    """Estimate on which morning the bed will be fit again, and the range that soil and weather leave open.

    `felt` is the feel test before the first of `days`. After the last day the weather goes on dry for 30 days, like
    the mean of the days. A day counts as fit by its state after that day's rain. Whether it gets too dry is not asked.

    Formula: fit on the first day that is not draining and has De >= capacity x (1 - s), s the available share at the
        wet end of `wettest_fit`. Likely: middle soil of the texture, middle of the class felt. Earliest and latest:
        the extremes over lightest, middle and heaviest soil, driest and wettest end of the class felt,
        evapotranspiration +- its error (20%), fewest and most days of draining after a soaking (coarse 0 to 1,
        moderately coarse 1 to 2, medium 1 to 3, fine 2 to 4).
    Units: dates.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, chapter 7 and Table 19; USDA-NRCS (1998), Program
        Aid 1619; error of the evapotranspiration and days of draining: common practice, no source.
    Raises: BadQuantity: when there is no day, the days are not one after the other, none tells its weather, or the
        error is not from 0 to 1.
    """
    ahead = _look_ahead(days, place, eto_error)
    fit_share = 1 - available_water(wettest_fit).high
    soaked = felt is Feel.FIELD_CAPACITY
    few_days, some_days, many_days = DRAIN_DAYS[texture]
    early, likely, late = _cases(texture, felt, eto_error)

    def first_fit(case: _Case, drain_days: int) -> date | None:
        states = case.dry(ahead, place)
        return _first_fit(states, min(case.soil.tew_mm, case.capacity_mm * fit_share), drain_days, soaked)

    on = first_fit(likely, some_days)
    first = [first_fit(case, few_days) for case in early]
    last = [first_fit(case, many_days) for case in late]
    return FitWindow(
        min((day for day in (*first, on) if day), default=None),
        on,
        None if on is None or None in last else max(day for day in (*last, on) if day),
    )


def moisture_ahead(
    days: Sequence[DayWeather], texture: Texture, felt: Feel, place: Place, eto_error: float = ETO_ERROR
) -> list[Moisture]:
    """Follow how full the top soil is of available water, with the range that soil and weather leave open.

    `felt` is the feel test before the first of `days`. After the last day the weather goes on dry for 30 days, like
    the mean of the days.

    Formula: share = 1 - De(start) / capacity; likely, least and most over the same cases as `fit_again`
    Units: dates; shares of the available water, 0 (wilting) to 1 (field capacity).
    Source: as `fit_again`.
    Raises: BadQuantity: when there is no day, the days are not one after the other, none tells its weather, or the
        error is not from 0 to 1.
    """
    ahead = _look_ahead(days, place, eto_error)
    early, likely, late = _cases(texture, felt, eto_error)
    every = [[case.share(state) for state in case.dry(ahead, place)] for case in (likely, *early, *late)]
    return [
        Moisture(day.on, min(shares), shares[0], max(shares))
        for day, shares in zip(ahead, zip(*every, strict=True), strict=True)
    ]


@dataclass(frozen=True, slots=True)
class _Case:
    """One way the bed may be: its surface, the water its top holds, how full it was felt, and how fast it dries."""

    soil: SurfaceSoil
    capacity_mm: float
    available: float
    eto_factor: float

    def dry(self, ahead: Sequence[DayWeather], place: Place) -> list[DayState]:
        start = min(self.soil.tew_mm, self.capacity_mm * (1 - self.available))
        return dry_down(ahead, self.soil, start, place, eto_factor=self.eto_factor)

    def share(self, state: DayState) -> float:
        return max(0.0, 1 - state.depletion_start_mm / self.capacity_mm)


def _cases(texture: Texture, felt: Feel, eto_error: float) -> tuple[list[_Case], _Case, list[_Case]]:
    """The cases that dry early, the likely one, and those that dry late."""
    water, full = water_capacity(texture), available_water(felt)
    soils = list(zip(surface_soils(texture), (water.low, water.middle, water.high), strict=True))
    early = [_Case(soil, capacity * LAYER_MM, full.low, 1 + eto_error) for soil, capacity in soils]
    late = [_Case(soil, capacity * LAYER_MM, full.high, 1 - eto_error) for soil, capacity in soils]
    middle, capacity = soils[1]
    return early, _Case(middle, capacity * LAYER_MM, full.middle, 1), late


def _first_fit(states: Sequence[DayState], target_mm: float, drain_days: int, soaked: bool) -> date | None:
    drained_until = states[0].on + timedelta(days=drain_days - 1) if soaked else states[0].on
    for state in states:
        if state.drained_mm >= SOAKED_MM:
            drained_until = max(drained_until, state.on + timedelta(days=drain_days))
        if state.on >= drained_until and state.depletion_start_mm >= target_mm - 1e-9:
            return state.on
    return None


def _look_ahead(days: Sequence[DayWeather], place: Place, eto_error: float) -> list[DayWeather]:
    within("eto_error", eto_error, 0, 1)
    if not days:
        raise BadQuantity("days", 0, "1 or more")
    etos = daily_eto_mm(days, place)
    mean = sum(etos) / len(etos)
    dry = [DayWeather(days[-1].on + timedelta(days=ahead), eto_mm=mean) for ahead in range(1, HORIZON_DAYS + 1)]
    return [*(replace(day, eto_mm=eto) for day, eto in zip(days, etos, strict=True)), *dry]


def _check_consecutive(days: Sequence[DayWeather]) -> None:
    for earlier, later in pairwise(days):
        if later.on - earlier.on != timedelta(days=1):
            raise BadQuantity("days", later.on.isoformat(), f"the day after {earlier.on.isoformat()}")
