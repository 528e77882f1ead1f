"""How evenly do the plants stand, by the tape samples; and which rows have more misses than the others?"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from shared_models.records.tables import StandCount
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.rows.rows import LoggedRow
from shared_models.reports.stand.stands import stand_counts
from shared_models.trade.stand.spacing import Evenness, evenness, gaps_between
from shared_models.trade.stand.stand import positions
from shared_models.trade.stats.outlying_rows import odd_rows

#: Plants that make a gap.
LEAST_PLANTS = 2


@dataclass(frozen=True, slots=True)
class TapeSample:
    """One stretch of row on which each plant's place was noted, in the order of the tape."""

    on: date
    row: int
    length_mm: int
    places_mm: tuple[int, ...]
    gaps_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class PlantingEvenness:
    """The tape samples of one planting, and what all their gaps together say."""

    planting_id: str
    label: str
    bed: str
    spacing_mm: float
    samples: tuple[TapeSample, ...]
    evenness: Evenness


@dataclass(frozen=True, slots=True)
class OddRow:
    """A row with more misses than chance explains, by the other rows of its planting."""

    row: LoggedRow
    places: float
    expected: float


def tape_samples(context: ReportContext, plantings: Collection[str]) -> list[PlantingEvenness]:
    """The evenness of each planting that has a tape sample and a known spacing, in the order given."""
    samples: dict[str, list[TapeSample]] = {}
    for planting, counts in stand_counts(context, plantings).items():
        taped = [_sample(count, context.farm) for count in counts if len(count.positions_mm) >= LEAST_PLANTS]
        if taped:
            samples[planting] = taped
    found = ((each, context.references.place(each), samples[each]) for each in plantings if each in samples)
    return [
        PlantingEvenness(
            each,
            place.label,
            place.bed,
            spacing,
            tuple(taped),
            evenness([gap for one in taped for gap in one.gaps_mm], spacing),
        )
        for each, place, taped in found
        if (spacing := place.spacing_mm)
    ]


def _sample(count: StandCount, farm: FarmFacts) -> TapeSample:
    places = tuple(sorted(count.positions_mm))
    return TapeSample(farm.day(count.at), count.row, count.sample_length_mm, places, gaps_between(places))


def rows_with_many_misses(rows: Iterable[LoggedRow]) -> list[OddRow]:
    """The ended rows with more misses than chance explains in their planting."""
    by_planting: dict[str, list[LoggedRow]] = defaultdict(list)
    for row in rows:
        if not row.open and row.place.spacing_mm:
            by_planting[row.place.planting_id].append(row)
    return [odd for planting in by_planting.values() for odd in _odd(planting)]


def _odd(rows: Sequence[LoggedRow]) -> Iterable[OddRow]:
    places = [positions(row.length_mm, row.place.spacing_mm or 0.0) for row in rows]
    if any(row.misses > of + 1 for row, of in zip(rows, places, strict=True)):
        return  # a wrong entry, which the planting's stand tells
    found = odd_rows([(row.misses, of) for row, of in zip(rows, places, strict=True)])
    all_misses, all_places = sum(row.misses for row in rows), sum(places)
    for number in found:
        others = (all_misses - rows[number].misses) / (all_places - places[number])
        yield OddRow(rows[number], places[number], others * places[number])
