"""Planting every so many days: when will each planting be harvested, and when to plant for an even harvest?

Plantings spread evenly do not ripen evenly: spring plantings bunch up, autumn plantings drift apart. Growth is counted
in degree-days, or in plain days when there are none.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from shared_models.errors import BadQuantity
from shared_models.trade.validation import not_negative, positive, whole


@dataclass(frozen=True, slots=True)
class Succession:
    """One planting of a series: its day, its harvest, and the days since the harvest before.

    The harvest is None when it lies beyond the days given; the gap, for the first planting and beside such a harvest.
    """

    plant_on: date
    harvest_on: date | None
    harvest_gap_days: int | None


def planting_dates(first: date, last: date, every_days: int) -> list[date]:
    """Planting days from the first, every so many days, to the last at the latest.

    Formula: first + k x days, while not after last
    Units: days.
    Source: arithmetic.
    Raises: BadQuantity: when the days are not a whole number of at least 1, or the last day is before the first.
    """
    whole("every_days", every_days, 1)
    if last < first:
        raise BadQuantity("last", last.isoformat(), f"on {first} or after")
    return [first + timedelta(days) for days in range(0, (last - first).days + 1, every_days)]


def harvest_day(plant_on: date, needed: float, daily: Mapping[date, float]) -> date | None:
    """First day on which a planting has gathered the degree-days it needs; None when the days given end before.

    Formula: first day d with the sum of daily degree-days from the planting day to d >= needed
    Units: degree-days, or days when every day counts 1.
    Source: thermal time; Arnold (1959), Proceedings of the American Society for Horticultural Science 74:430-445 (from
        memory).
    Raises: BadQuantity: when the degree-days needed are not above 0, or those of a day are below 0.
    """
    positive("needed", needed)
    gathered: list[float] = []
    day = plant_on
    while day in daily:
        not_negative(f"degree-days of {day}", daily[day])
        gathered.append(daily[day])
        if math.fsum(gathered) >= needed:  # exact, so ten days of 0.1 make 1
            return day
        day += timedelta(1)
    return None


def successions(plantings: Sequence[date], needed: float, daily: Mapping[date, float]) -> list[Succession]:
    """Harvest day of each planting, and how many days lie between one harvest and the next.

    Formula: `harvest_day` of each planting in order of date; gap = days between neighbouring harvests
    Units: days; degree-days.
    Source: thermal time, as `harvest_day`.
    Raises: BadQuantity: when the degree-days needed are not above 0, or those of a day are below 0.
    """
    planted = sorted(plantings)
    harvests = [harvest_day(day, needed, daily) for day in planted]
    gaps = [(after - before).days if before and after else None for before, after in pairwise(harvests)]
    return [Succession(*line) for line in zip(planted, harvests, [None, *gaps], strict=False)]
