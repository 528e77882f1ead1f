"""How many degree days did a day bring?

Every method draws the day's temperature as a curve from the lowest to the highest reading and takes the area under it
above a lower threshold. The upper threshold (cut-off) says what heat beyond it does. All temperatures of a call are in
one unit, °C or °F, and the answer is in degree-days of that unit.
"""

import math
from enum import StrEnum

from shared_models.errors import BadQuantity
from shared_models.trade.validation import finite


class Cutoff(StrEnum):
    """What warmth above the upper threshold does: adds no more, is taken off again, or stops growth altogether."""

    HORIZONTAL = "horizontal"
    INTERMEDIATE = "intermediate"
    VERTICAL = "vertical"


def average_method_1(t_min: float, t_max: float, base: float, upper: float | None = None) -> float:
    """Degree-days of a day from its mean temperature, the mean held between base and upper threshold.

    Formula: min(upper, max(base, (t_max + t_min) / 2)) - base
    Units: all temperatures in one unit, °C or °F; degree-days of that unit.
    Source: McMaster & Wilhelm (1997), Growing degree-days: one equation, two interpretations, Agricultural and Forest
        Meteorology 87:291-300, method 1 (abstract seen; the upper limit as in the R package degday).
    Raises: BadQuantity: when a temperature is not a number, t_max is below t_min, or upper is not above base.
    """
    _check(t_min, t_max, base, upper)
    return _held((t_min + t_max) / 2, base, upper) - base


def average_method_2(t_min: float, t_max: float, base: float, upper: float | None = None) -> float:
    """Degree-days of a day from its mean temperature, lowest and highest each held between the thresholds first.

    Formula: (held(t_max) + held(t_min)) / 2 - base, where held(t) = min(upper, max(base, t))
    Units: all temperatures in one unit, °C or °F; degree-days of that unit.
    Source: McMaster & Wilhelm (1997), Growing degree-days: one equation, two interpretations, Agricultural and Forest
        Meteorology 87:291-300, method 2 (abstract seen; the upper limit as in the R package degday).
    Raises: BadQuantity: when a temperature is not a number, t_max is below t_min, or upper is not above base.
    """
    _check(t_min, t_max, base, upper)
    return (_held(t_min, base, upper) + _held(t_max, base, upper)) / 2 - base


def single_sine(
    t_min: float, t_max: float, lower: float, upper: float | None = None, cutoff: Cutoff = Cutoff.HORIZONTAL
) -> float:
    """Degree-days of a day drawn as one sine wave through its lowest and highest temperature.

    Formula: with m = (t_max + t_min) / 2, a = (t_max - t_min) / 2 and q = asin((T - m) / a), the wave lies
        A(T) = ((m - T) (pi/2 - q) + a cos q) / pi above a threshold T, for the share F(T) = (pi/2 - q) / pi of the day
        (A = m - T and F = 1 when the whole day is above T; both 0 when it is below). Horizontal cut-off:
        A(lower) - A(upper). Vertical: horizontal - (upper - lower) F(upper). Intermediate: horizontal - A(upper), but
        never less than vertical.
    Units: all temperatures in one unit, °C or °F; degree-days of that unit.
    Source: Baskerville & Emin (1969), Ecology 50:514-517; Zalom, Goodell, Wilson, Barnett & Bentley (1983), UC DANR
        Leaflet 21373, table 5 (its six cases are one formula here); cut-offs as the UC IPM calculator computes them.
    Raises: BadQuantity: when a temperature is not a number, t_max is below t_min, or upper is not above lower.
    """
    _check(t_min, t_max, lower, upper)
    return _with_cutoff(t_min, t_max, lower, upper, cutoff)


def _check(t_min: float, t_max: float, lower: float, upper: float | None) -> None:
    named = {"t_min": t_min, "t_max": t_max, "lower": lower, "upper": upper}
    for field, value in named.items():
        if value is not None:
            finite(field, value)
    if t_max < t_min:
        raise BadQuantity("t_max", t_max, f"t_min ({t_min:g}) or more")
    if upper is not None and upper <= lower:
        raise BadQuantity("upper", upper, f"above the lower threshold ({lower:g})")


def _held(t: float, base: float, upper: float | None) -> float:
    held = max(base, t)
    return held if upper is None else min(upper, held)


def _with_cutoff(t_min: float, t_max: float, lower: float, upper: float | None, cutoff: Cutoff) -> float:
    """Area between the thresholds under the wave, less what the cut-off takes off again."""
    grown = _sine_above(t_min, t_max, lower)
    if upper is None:
        return grown
    excess = _sine_above(t_min, t_max, upper)
    horizontal = grown - excess
    if cutoff is Cutoff.HORIZONTAL:
        return horizontal
    stopped = (upper - lower) * _sine_share(t_min, t_max, upper)
    taken_off = stopped if cutoff is Cutoff.VERTICAL else min(stopped, excess)
    return max(0.0, horizontal - taken_off)  # below zero only by rounding


def _sine_above(low: float, high: float, threshold: float) -> float:
    middle, swing = (high + low) / 2, (high - low) / 2
    if high <= threshold:
        return 0.0
    if low >= threshold:
        return middle - threshold
    angle = _crossing(low, high, threshold)
    return ((middle - threshold) * (math.pi / 2 - angle) + swing * math.cos(angle)) / math.pi


def _sine_share(low: float, high: float, threshold: float) -> float:
    if high <= threshold:
        return 0.0
    if low >= threshold:
        return 1.0
    return 0.5 - _crossing(low, high, threshold) / math.pi


def _crossing(low: float, high: float, threshold: float) -> float:
    """Where on the wave it crosses the threshold; rounding must not push the sine past ±1."""
    return math.asin(max(-1.0, min(1.0, (2 * threshold - high - low) / (high - low))))
