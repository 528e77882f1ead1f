"""What do we know about a row that could explain its misses?"""

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from shared_models.core.units import MM_PER_INCH
from shared_models.core.vocabulary import Feel
from shared_models.trade.validation import not_negative, positive, whole, within


class Factor(StrEnum):
    """What may go with misses, in the order it is asked about when rows are few."""

    DEPTH = "depth_mm"
    MOISTURE = "moisture"
    PLANT_AGE = "plant_age_days"
    TILLAGE_AGE = "tillage_age_h"
    SPACING = "spacing_mm"
    CREW = "crew"


#: The step in which effects are stated: 10 mm of depth, a week of age, a day since tillage, an inch of spacing.
STEPS: Mapping[Factor, float] = MappingProxyType(
    {Factor.DEPTH: 10.0, Factor.PLANT_AGE: 7.0, Factor.TILLAGE_AGE: 24.0, Factor.SPACING: MM_PER_INCH}
)

HARDLY_VARIES = 0.1
"""Share of its step that a figure must have varied by to be compared (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class RowFacts:
    """One finished row: its misses, and what is known of how it was planted.

    Rows of one `planting` share its soil, plants and day; None is a row that shares them with no other.
    """

    misses: int
    positions: float
    depth_mm: float | None = None
    moisture: Feel | None = None
    plant_age_days: float | None = None
    tillage_age_h: float | None = None
    spacing_mm: float | None = None
    crew: str | None = None
    planting: str | None = None

    def __post_init__(self) -> None:
        positive("positions", self.positions)
        whole("misses", self.misses)
        within("misses", self.misses, 0, self.positions)
        for factor in STEPS:
            value = getattr(self, factor)
            if value is not None:
                not_negative(factor, value)


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the model: a figure (level None), or one class or crew against the usual."""

    factor: Factor
    level: str | None
    usual: str | None
    values: tuple[float, ...]


def values_of(factor: Factor, rows: Sequence[RowFacts], rows_per_level: int) -> list[float | str | None]:
    """Value of a factor in each row; a class or crew seen in fewer rows than `rows_per_level` counts as not known.

    Formula: the value as recorded, or None.
    Units: those of the factor.
    Source: common practice, no source.
    """
    values: list[float | str | None] = [getattr(row, factor) for row in rows]
    if factor in STEPS:
        return values
    seen = Counter(values)
    return [value if seen[value] >= rows_per_level else None for value in values]


def columns_of(factor: Factor, values: Sequence[float | str | None]) -> list[Column]:
    """Columns that a factor gives a model: the figure itself, or one for each class besides the commonest; maybe none.

    Formula: a class column holds 1 in rows of the class and 0 elsewhere. A factor that never varies, or a figure that
        varies by less than a tenth of its step, gives no column.
    Units: those of the factor.
    Source: common practice, no source.
    """
    if not values:
        return []
    if factor in STEPS:
        figures = tuple(float(value) for value in values if value is not None)
        varies = max(figures) - min(figures) >= HARDLY_VARIES * STEPS[factor]
        return [Column(factor, None, None, figures)] if varies else []
    (usual, _), *others = Counter(map(str, values)).most_common()
    return [Column(factor, level, usual, tuple(float(value == level) for value in values)) for level, _ in others]


def plantings_of(rows: Sequence[RowFacts]) -> list[list[int]]:
    """Numbers of the rows that belong together, planting by planting; a row without one stands by itself.

    Formula: rows grouped by planting.
    Units: none.
    Source: common practice, no source.
    """
    together: defaultdict[str | int, list[int]] = defaultdict(list)
    for i, row in enumerate(rows):
        together[i if row.planting is None else row.planting].append(i)
    return list(together.values())


def share_within(values: Sequence[float], plantings: Sequence[Sequence[int]]) -> float:
    """How much of a figure's scatter lies between rows of one planting: 0 when each planting has a single value.

    Formula: sum of squares around the planting means / sum of squares around the mean of all rows.
    Units: proportion, 0 to 1.
    Source: one-way analysis of variance.
    """
    total = _squares(values)
    return math.fsum(_squares([values[i] for i in rows]) for rows in plantings) / total if total else 0.0


def _squares(values: Sequence[float]) -> float:
    mean = math.fsum(values) / len(values)
    return math.fsum((value - mean) ** 2 for value in values)
