"""When is the next planting of each crop due, by the days between those of this season so far?"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from statistics import median

from shared_models.reports.common.references import References, in_order
from shared_models.reports.plan.schedule import PlanBasis
from shared_models.trade.planning.succession import planting_dates

#: Gaps between plantings of a crop from which on they tell how often it is planted. Common practice, no source.
FEWEST_GAPS = 2
#: How many further plantings are shown.
NEXT = 3


@dataclass(frozen=True, slots=True)
class NextSowing:
    """A further planting: its day, and the last day to sow for it."""

    plant_on: date
    sow_by: date


@dataclass(frozen=True, slots=True)
class SuccessionAhead:
    """A crop that is planted again and again: every so many days (the middle of `gaps` gaps), and what is next.

    `next` plantings go on from the last one, done or planned, and can still be sown in time.
    """

    crop: str
    every_days: int
    gaps: int
    last: date
    next: tuple[NextSowing, ...]


def successions_ahead(
    names: References, planted: Mapping[str, date], basis: PlanBasis, season_begins: date
) -> tuple[SuccessionAhead, ...]:
    """By crop. A sowing counts once, on the day of its first planting."""
    days: defaultdict[str, dict[str, date]] = defaultdict(dict)
    called: dict[str, str] = {}
    for planting in names.plantings.values():
        sowing, on = names.sowings.get(planting.sowing), planted.get(planting.id) or planting.planned_on
        if sowing is None or on is None or planting.voided or not season_begins <= on <= basis.furthest:
            continue
        crop = sowing.crop.casefold()
        called.setdefault(crop, sowing.crop)
        days[crop][sowing.id] = min(on, days[crop].get(sowing.id, on))
    found = (_ahead(called[crop], sorted(set(first.values())), basis) for crop, first in days.items())
    return tuple(sorted((each for each in found if each), key=lambda each: in_order(each.crop)))


def _ahead(crop: str, days: list[date], basis: PlanBasis) -> SuccessionAhead | None:
    gaps = [(after - before).days for before, after in pairwise(days)]
    time = basis.growing_time(crop)
    if len(gaps) < FEWEST_GAPS or time is None:
        return None
    every = max(1, round(median(gaps)))
    soonest = basis.today + timedelta(days=time.first_days)
    skipped = max(0, -(-(soonest - days[-1]).days // every) - 1)
    first = days[-1] + timedelta(days=(skipped + 1) * every)
    following = planting_dates(first, first + timedelta(days=(NEXT - 1) * every), every)
    return SuccessionAhead(crop, every, len(gaps), days[-1], tuple(_next(following, time.first_days)))


def _next(days: Iterable[date], grow_days: int) -> Iterable[NextSowing]:
    for day in days:
        yield NextSowing(day, day - timedelta(days=grow_days))
