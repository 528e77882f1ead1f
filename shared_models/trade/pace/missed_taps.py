"""Was a tap missed? Is this row much slower than the rows before it?"""

from collections.abc import Sequence
from statistics import median

from shared_models.trade.validation import not_negative, positive

#: A row this many times as slow as usual asks whether there was a lunch in it. Common practice, no source; the farm's
#: setting.
TIMES_AS_SLOW = 5.0
#: Rows needed before "usual" means anything. Common practice, no source.
FEWEST_ROWS = 3


def times_as_slow(row_time_s: float, length_mm: float, past: Sequence[tuple[float, float]]) -> float | None:
    """Compute how many times as slow as usual a row went; None while there are fewer than three rows to compare with.

    Each past row is (row time, length). The median is not moved by a lunch or two among the past rows.

    Formula: (row time / length) / median of (row time / length) over the past rows
    Units: seconds and millimeters; no unit.
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
    """Estimate how long a row of this length usually takes; None while there are fewer than three rows to go by.

    Formula: length x median of (row time / length) over the past rows
    Units: millimeters and seconds.
    Source: As for times as slow.
    Raises: BadQuantity: when a time is negative or a length is not above 0.
    """
    positive("length_mm", length_mm)
    paces = [_seconds_per_mm(*row) for row in past]
    return length_mm * median(paces) if len(paces) >= FEWEST_ROWS else None


def tap_missed(
    row_time_s: float,
    length_mm: float,
    past: Sequence[tuple[float, float]],
    times: float = TIMES_AS_SLOW,
) -> bool:
    """Judge whether a row is so slow that the row-end tap was probably forgotten.

    Formula: times as slow >= 5 (the farm's setting); never while there are fewer than three past rows
    Units: seconds and millimeters.
    Source: Common practice, no source.
    Raises: BadQuantity: when a time is negative, or a length or the setting is not above 0.
    """
    positive("times", times)
    slow = times_as_slow(row_time_s, length_mm, past)
    return slow is not None and slow >= times


def _seconds_per_mm(row_time_s: float, length_mm: float) -> float:
    not_negative("row_time_s", row_time_s)
    positive("length_mm", length_mm)
    return row_time_s / length_mm
