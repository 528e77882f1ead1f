"""How much faster does a crew get with each doubling of the rows it has done?

By Crawford's definition each doubling brings the time of the *unit* down to the rate: 0.85 means 85 % of the time. (By
Wright's, the *average* of all units so far.) A crew times its rows one by one.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shared_models.trade.stats.trend import fit_line
from shared_models.trade.validation import positive, whole


@dataclass(frozen=True, slots=True)
class Learning:
    """A crew's learning over a season: time of the first unit, rate per doubling, and how well the curve fits."""

    first_s: float
    rate: float
    r_squared: float | None


def learning_exponent(rate: float) -> float:
    """Compute the exponent of the learning curve from the rate per doubling.

    Formula: b = log2(rate)
    Units: rate above 0, 1 is no learning; no unit.
    Source: Wright (1936), Factors affecting the cost of airplanes, Journal of the Aeronautical Sciences 3:122-128.
    Raises: BadQuantity: when the rate is not above 0.
    """
    positive("rate", rate)
    return math.log2(rate)


def crawford_unit(known_s: float, unit: float, rate: float, known_unit: float = 1) -> float:
    """Estimate the time of one unit from the known time of another, by default the first.

    Formula: time = known time x (unit / known unit)^b
    Units: seconds (any one unit of time or cost serves).
    Source: Crawford's unit curve, as in the documentation of the R package learningCurve (AFIT).
    Raises: BadQuantity: when a time, a unit number or the rate is not above 0.
    """
    positive("known_s", known_s)
    positive("unit", unit)
    positive("known_unit", known_unit)
    return known_s * math.pow(unit / known_unit, learning_exponent(rate))


def crawford_total(known_s: float, last: int, rate: float, first: int = 1, known_unit: float = 1) -> float:
    """Estimate the time of all units from the first to the last, unit by unit.

    Formula: sum of known time x (i / known unit)^b for i from first to last
    Units: seconds (any one unit of time or cost serves).
    Source: Crawford's unit curve, as in the documentation of the R package learningCurve (AFIT).
    Raises: BadQuantity: when a time, the known unit or the rate is not above 0, first is below 1, or the last comes
        before it.
    """
    positive("known_s", known_s)
    positive("known_unit", known_unit)
    whole("first", first, 1)
    whole("last", last, first)
    exponent = learning_exponent(rate)
    return known_s * math.fsum(math.pow(unit / known_unit, exponent) for unit in range(first, last + 1))


def fit_learning(units: Sequence[float], times_s: Sequence[float]) -> Learning:
    """Fit a crew's learning rate to the times of its units over a season.

    Compare like with like: seconds per row foot, or rows of one length. Leave forgotten taps out first.

    Formula: straight line through (log2 unit, log2 time); rate = 2^slope; first time = 2^intercept
    Units: unit numbers from 1; seconds (any one unit of time serves).
    Source: Log-linear least squares on Crawford's unit curve, standard practice (from memory).
    Raises: BadQuantity: when a unit number or time is not above 0, they differ in number, or there are no two
        different units.
    """
    for field, values in (("units", units), ("times_s", times_s)):
        for value in values:
            positive(field, value)
    line = fit_line([math.log2(unit) for unit in units], [math.log2(time) for time in times_s])
    return Learning(first_s=2.0**line.intercept, rate=2.0**line.slope, r_squared=line.r_squared)
