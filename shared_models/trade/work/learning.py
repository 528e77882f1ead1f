"""How much faster does a crew get with each doubling of the rows it has done?

Two definitions are in print. Crawford: each doubling brings the time of the *unit* down to the rate. Wright: each
doubling brings the *average* of all units so far down to the rate. Rowend fits and forecasts by Crawford's, because a
crew times its rows one by one; Wright's is here to compare with figures given that way. A rate of 0.85 means that
each doubling takes the time down to 85 %.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shared_models.errors import BadQuantity
from shared_models.trade.stats.trend import fit_line
from shared_models.trade.validation import positive

#: An average that halves with each doubling leaves no time at all for the later units.
FASTEST_AVERAGE = 0.5


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
    _check_units(known_s, unit, known_unit)
    return known_s * math.pow(unit / known_unit, learning_exponent(rate))


def crawford_total(known_s: float, last: int, rate: float, first: int = 1, known_unit: float = 1) -> float:
    """Estimate the time of all units from the first to the last, unit by unit.

    Formula: sum of known time x (i / known unit)^b for i from first to last
    Units: seconds (any one unit of time or cost serves).
    Source: Crawford's unit curve, as in the documentation of the R package learningCurve (AFIT).
    Raises: BadQuantity: when a time, the known unit or the rate is not above 0, first is below 1, or the last comes
        before it.
    """
    _check_units(known_s, first, known_unit)
    _check_block(first, last)
    exponent = learning_exponent(rate)
    return known_s * math.fsum(math.pow(unit / known_unit, exponent) for unit in range(first, last + 1))


def wright_unit(known_s: float, unit: float, rate: float, known_unit: float = 1) -> float:
    """Estimate the time of one unit when the average follows the curve, from the known time of another.

    Formula: time = known time x (n^(1 + b) - (n - 1)^(1 + b)) / (the same at the known unit)
    Units: seconds (any one unit of time or cost serves).
    Source: Wright (1936), Journal of the Aeronautical Sciences 3:122-128; for a known unit other than the first, the
        documentation of the R package learningCurve (AFIT).
    Raises: BadQuantity: when the time is not above 0, a unit is below 1, or the rate is not above 0.5.
    """
    positive("known_s", known_s)
    return known_s * wright_total(1.0, unit, rate, unit) / wright_total(1.0, known_unit, rate, known_unit)


def wright_total(first_s: float, last: float, rate: float, first: float = 1) -> float:
    """Estimate the time of all units from the first to the last when the average follows the curve.

    Formula: total = time of unit 1 x (last^(1 + b) - (first - 1)^(1 + b))
    Units: seconds (any one unit of time or cost serves).
    Source: Wright (1936), Journal of the Aeronautical Sciences 3:122-128.
    Raises: BadQuantity: when the time is not above 0, first is below 1, the last comes before it, or the rate is not
        above 0.5.
    """
    positive("first_s", first_s)
    if not rate > FASTEST_AVERAGE:
        raise BadQuantity("rate", rate, "above 0.5")
    power = 1.0 + learning_exponent(rate)
    _check_block(first, last)
    return first_s * (math.pow(last, power) - (math.pow(first - 1.0, power) if first > 1.0 else 0.0))


def wrong_rate_error(units: float, assumed_rate: float, true_rate: float) -> float:
    """Compute the error of a plan after so many units when the rate was misjudged.

    Formula: n^(b assumed) / n^(b true) - 1
    Units: a share; 0.2 is 20 % too much planned.
    Source: Documentation of the R package learningCurve (AFIT).
    Raises: BadQuantity: when the number of units or a rate is not above 0.
    """
    positive("units", units)
    return math.pow(units, learning_exponent(assumed_rate) - learning_exponent(true_rate)) - 1.0


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


def _check_units(known_s: float, unit: float, known_unit: float) -> None:
    positive("known_s", known_s)
    positive("unit", unit)
    positive("known_unit", known_unit)


def _check_block(first: float, last: float) -> None:
    if not 1.0 <= first < math.inf:
        raise BadQuantity("first", first, "1 or more")
    if not first <= last < math.inf:
        raise BadQuantity("last", last, f"{first:g} or more")
