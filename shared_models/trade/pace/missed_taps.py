"""Was a tap forgotten: is this row out of line with the rows before it?"""

from __future__ import annotations

import math
from statistics import NormalDist, fmean, median
from typing import TYPE_CHECKING

from shared_models.errors import BadQuantity
from shared_models.trade.checks import finite, not_negative, positive

if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = [
    "OUTLIER_Z",
    "TIMES_AS_SLOW",
    "mad_sd",
    "modified_z",
    "outliers",
    "tap_forgotten",
    "times_as_slow",
    "usual_time_s",
]

#: A row this many times as slow as usual asks whether there was a lunch in it. Common practice, no source; the farm's
#: setting.
TIMES_AS_SLOW = 5.0
#: Beyond this modified z a value is an outlier (Iglewicz & Hoaglin 1993).
OUTLIER_Z = 3.5
#: Rows needed before "usual" means anything. Common practice, no source.
FEWEST_ROWS = 3

SD_PER_MAD = 1.0 / NormalDist().inv_cdf(0.75)
SD_PER_MEAN_DEVIATION = math.sqrt(math.pi / 2.0)


def times_as_slow(row_time_s: float, length_mm: float, past: Sequence[tuple[float, float]]) -> float | None:
    """Tell how many times as slow as usual a row went; None while there are fewer than three rows to compare with.

    Each past row is (row time, length). The median is not moved by a lunch or two among the past rows.

    Formula: (row time / length) / median of (row time / length) over the past rows
    Units: seconds and millimetres; no unit.
    Source: Common practice, no source; the median as a robust "usual": Hampel (1974), Journal of the American
        Statistical Association 69:383-393 (from memory).
    Raises: BadQuantity: when a time is negative or a length is not above 0.
    """
    pace = _seconds_per_mm(row_time_s, length_mm)
    paces = [_seconds_per_mm(*row) for row in past]
    if len(paces) < FEWEST_ROWS:
        return None
    usual = median(paces)
    return pace / usual if usual else None


def usual_time_s(length_mm: float, past: Sequence[tuple[float, float]]) -> float | None:
    """Tell how long a row of this length usually takes; None while there are fewer than three rows to go by.

    Formula: length x median of (row time / length) over the past rows
    Units: millimetres and seconds.
    Source: As for times as slow.
    Raises: BadQuantity: when a time is negative or a length is not above 0.
    """
    positive("length_mm", length_mm)
    paces = [_seconds_per_mm(*row) for row in past]
    return length_mm * median(paces) if len(paces) >= FEWEST_ROWS else None


def tap_forgotten(
    row_time_s: float,
    length_mm: float,
    past: Sequence[tuple[float, float]],
    times: float = TIMES_AS_SLOW,
) -> bool:
    """Say whether a row is so slow that the row-end tap was probably forgotten.

    Formula: times as slow >= 5 (the farm's setting); never while there are fewer than three past rows
    Units: seconds and millimetres.
    Source: Common practice, no source.
    Raises: BadQuantity: when a time is negative, or a length or the setting is not above 0.
    """
    positive("times", times)
    slow = times_as_slow(row_time_s, length_mm, past)
    return slow is not None and slow >= times


def mad_sd(values: Sequence[float]) -> float:
    """Tell how much values usually scatter, whatever a few wild ones do.

    Formula: 1.4826 x median of |value - median|; 1.4826 is 1 / normal quantile at 3/4
    Units: those of the values.
    Source: Hampel (1974), Journal of the American Statistical Association 69:383-393 (from memory).
    Raises: BadQuantity: when there is no value, or one is not finite.
    """
    middle = _median(values)
    return SD_PER_MAD * median(abs(value - middle) for value in values)


def modified_z(value: float, values: Sequence[float]) -> float:
    """Tell how far a value lies from the usual, in usual scatters.

    Where more than half of the values are equal, the mean deviation stands in for the median one; where all are equal,
    any other value is infinitely far.

    Formula: z = (value - median) / (1.4826 x median deviation), or / (1.2533 x mean deviation) when that is 0
    Units: no unit.
    Source: Iglewicz & Hoaglin (1993), How to Detect and Handle Outliers, ASQC (from memory).
    Raises: BadQuantity: when there are no values, or one is not finite.
    """
    finite("value", value)
    middle = _median(values)
    scatter = mad_sd(values) or SD_PER_MEAN_DEVIATION * fmean(abs(each - middle) for each in values)
    if scatter:
        return (value - middle) / scatter
    return 0.0 if value == middle else math.copysign(math.inf, value - middle)


def outliers(values: Sequence[float], limit: float = OUTLIER_Z) -> list[int]:
    """Point out the values that do not belong with the others, by their places in the list.

    Formula: |modified z| > 3.5; nothing stands out of fewer than three values
    Units: those of the values.
    Source: Iglewicz & Hoaglin (1993), How to Detect and Handle Outliers, ASQC (from memory).
    Raises: BadQuantity: when the limit is not above 0, or one of three or more values is not finite.
    """
    positive("limit", limit)
    if len(values) < FEWEST_ROWS:
        return []
    return [place for place, value in enumerate(values) if abs(modified_z(value, values)) > limit]


def _median(values: Sequence[float]) -> float:
    if not values:
        raise BadQuantity("values", 0, "at least 1")
    for each in values:
        finite("values", each)
    return median(values)


def _seconds_per_mm(row_time_s: float, length_mm: float) -> float:
    not_negative("row_time_s", row_time_s)
    positive("length_mm", length_mm)
    return row_time_s / length_mm
