"""Was one group of rows faster than another, a crew, a week, a spacing; and is that more than scatter?"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.pace.rates import By, RateLine, parts_of
from shared_models.reports.rows.rows import LoggedRow
from shared_models.trade.stats.compare_rates import RateRatio, rate_ratio

#: From so many plantings on each side the range is worth reading. Common practice, no source.
ENOUGH_PLANTINGS = 3


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two groups: its work, and from how many plantings."""

    line: RateLine
    plantings: int


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two groups side by side, by the row length of one person's hour. `shared` rows stand on both sides."""

    first: Side
    second: Side
    ratio: RateRatio | None
    shared: int

    @property
    def enough(self) -> bool:
        return min(self.first.plantings, self.second.plantings) >= ENOUGH_PLANTINGS


def compare(rows: Sequence[LoggedRow], by: By, keys: tuple[str, str], farm: FarmFacts) -> Comparison | None:
    """Compare two lines of a report of rates by their keys; None where one of them has no rows."""
    lines: dict[str, RateLine] = {}
    plantings: dict[str, dict[str, RateLine]] = {key: {} for key in keys}
    sides: dict[str, set[str]] = defaultdict(set)
    for row, part in parts_of(rows, by, farm):
        if part.key in plantings:
            lines[part.key] = lines[part.key].plus(part) if part.key in lines else part
            inside = plantings[part.key]
            planting = row.place.planting_id
            inside[planting] = inside[planting].plus(part) if planting in inside else part
            sides[row.id].add(part.key)
    if not lines.keys() >= set(keys):
        return None
    first, second = (Side(lines[key], len(plantings[key])) for key in keys)
    shared = sum(len(on) > 1 for on in sides.values())
    return Comparison(first, second, _ratio(plantings[keys[0]], plantings[keys[1]]), shared)


def _ratio(first: Mapping[str, RateLine], second: Mapping[str, RateLine]) -> RateRatio | None:
    """How many times as fast the first was; None where one of them has no time or no length to use."""
    one, other = _work(first), _work(second)
    if not (sum(length for length, _ in one) and sum(length for length, _ in other)):
        return None
    return rate_ratio(one, other)


def _work(plantings: Mapping[str, RateLine]) -> list[tuple[float, float]]:
    """Length and person time of each planting that took any time."""
    works = (line.work for line in plantings.values())
    return [(work.length_mm, work.person_s) for work in works if work.person_s]
