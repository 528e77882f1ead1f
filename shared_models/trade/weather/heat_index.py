"""Is it too hot to keep working like this?

The heat index is for shade and light wind; full sun can add up to 15 °F (8 °C). It warns, it does not permit: local
rules and the farm's own heat plan come first, and people new to the heat need more care than any figure says.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from shared_models.core.units import celsius_to_fahrenheit, fahrenheit_to_celsius
from shared_models.trade.validation import within

#: What full sun adds at most (OSHA): 15 °F.
FULL_SUN_C = 15 / 1.8


class HeatScale(StrEnum):
    """Whose limits: the worksite bands of OSHA, or one of the two sets the weather service has printed."""

    OSHA = "osha"
    NWS_LATER = "nws_later"
    NWS_OLDER = "nws_older"


class HeatLevel(StrEnum):
    """How far to go: the weather service's four words, or the four worksite bands."""

    NONE = "none"
    CAUTION = "caution"
    EXTREME_CAUTION = "extreme_caution"
    DANGER = "danger"
    EXTREME_DANGER = "extreme_danger"
    LOWER = "lower"
    MODERATE = "moderate"
    HIGH = "high"
    VERY_HIGH = "very_high"


#: The lowest heat index (°F) of each level, hottest first.
_NWS_OLDER = (
    (130.0, HeatLevel.EXTREME_DANGER),
    (105.0, HeatLevel.DANGER),
    (90.0, HeatLevel.EXTREME_CAUTION),
    (80.0, HeatLevel.CAUTION),
)
_NWS_LATER = (
    (125.0, HeatLevel.EXTREME_DANGER),
    (103.0, HeatLevel.DANGER),
    (90.0, HeatLevel.EXTREME_CAUTION),
    (80.0, HeatLevel.CAUTION),
)
#: OSHA prints its last band as "greater than 115", so 115 itself is still high.
_OSHA = (
    (math.nextafter(115.0, math.inf), HeatLevel.VERY_HIGH),
    (103.0, HeatLevel.HIGH),
    (91.0, HeatLevel.MODERATE),
    (-math.inf, HeatLevel.LOWER),
)
_LIMITS_F = {HeatScale.OSHA: _OSHA, HeatScale.NWS_LATER: _NWS_LATER, HeatScale.NWS_OLDER: _NWS_OLDER}

_WATCH = "Drink before you are thirsty, and watch each other."
_REST = "Drink every quarter of an hour, rest in the shade every hour, and go easy with people new to the heat."
_SHIFT = "Move the heavy work to the cool of the day; rest often in the shade; nobody works alone."
_STOP = "Stop work that can wait; do the rest in short turns with long breaks in the shade, and know who to call."

#: What to do at each level, in our own words and from common practice: the levels are sourced, the advice is not.
ADVICE: Mapping[HeatLevel, str] = MappingProxyType(
    {
        HeatLevel.NONE: "No heat caution.",
        HeatLevel.CAUTION: _WATCH,
        HeatLevel.LOWER: _WATCH,
        HeatLevel.EXTREME_CAUTION: _REST,
        HeatLevel.MODERATE: _REST,
        HeatLevel.DANGER: _SHIFT,
        HeatLevel.HIGH: _SHIFT,
        HeatLevel.EXTREME_DANGER: _STOP,
        HeatLevel.VERY_HIGH: _STOP,
    }
)
#: Stands beside every caution.
LOCAL_RULES = "Local rules and the farm's heat plan come first; this figure does not replace them."


@dataclass(frozen=True, slots=True)
class HeatCaution:
    """The heat index in the shade and in full sun, the level of each on the scale named, and what to do."""

    index_c: float
    level: HeatLevel
    sun_index_c: float
    sun_level: HeatLevel
    scale: HeatScale
    advice: str
    note: str


def heat_index_c(air_c: float, humidity_pct: float) -> float:
    """Compute the heat index: how hot it feels in the shade.

    Formula: in °F: 0.5 (T + 61 + 1.2 (T - 68) + 0.094 R); from 80 on instead the regression, less
        (13 - R)/4 sqrt((17 - |T - 95|)/17) when R < 13 and T from 80 to 112, plus (R - 85)/10 (87 - T)/5 when R > 85
        and T from 80 to 87. The simple form already is the average with the temperature and is not averaged again.
    Units: °C; % relative humidity.
    Source: National Weather Service, Weather Prediction Center, The Heat Index Equation
        (wpc.ncep.noaa.gov/html/heatindex_equation.shtml); Rothfusz (1990), SR 90-23. It differs from the printed chart
        by up to 2.3 °F in damp air below 87 °F.
    Raises: BadQuantity: when the temperature is not from -60 to 60 °C or the humidity not from 0 to 100.
    """
    t, r = _checked_f(air_c, humidity_pct), humidity_pct
    simple = 0.5 * (t + 61 + 1.2 * (t - 68) + 0.094 * r)
    return fahrenheit_to_celsius(simple if simple < 80 else _regression_f(t, r) + _adjustment_f(t, r))  # noqa: PLR2004


def heat_level(index_c: float, scale: HeatScale = HeatScale.OSHA) -> HeatLevel:
    """Return the level of caution at this heat index.

    A limit that two printed bands share counts to the hotter one.

    Formula: °F: OSHA: below 91 lower, from 91 moderate, from 103 high, above 115 very high; NWS later set: from 80
        caution, 90 extreme caution, 103 danger, 125 extreme danger; NWS older set: 80, 90, 105, 130
    Units: °C.
    Source: OSHA, Heat: protective measures to take at each risk level (osha.gov/heat/heat-index/protective-measures);
        NWS Tulsa heat index page (older set: danger and extreme danger); later set as quoted in a reprint.
    Raises: BadQuantity: when the heat index is not from -100 to 200 °C.
    """
    within("index_c", index_c, -100, 200)
    index_f = celsius_to_fahrenheit(index_c)
    return next((level for limit, level in _LIMITS_F[scale] if index_f >= limit), HeatLevel.NONE)


def heat_caution(air_c: float, humidity_pct: float, scale: HeatScale = HeatScale.OSHA) -> HeatCaution:
    """Compute the heat index in the shade and at worst in full sun, the level of each, and what to do.

    The advice is for the worse of the two: a bed has no shade.

    Formula: sun index = heat index + 15 °F; level of each on the scale; advice of the sun's level
    Units: °C; % relative humidity.
    Source: heat index: see heat_index_c; levels: see heat_level; up to 15 °F for full sun: OSHA, Heat: protective
        measures to take at each risk level; advice: common practice, no source.
    Raises: BadQuantity: when the temperature is not from -60 to 60 °C or the humidity not from 0 to 100.
    """
    index = heat_index_c(air_c, humidity_pct)
    in_sun = index + FULL_SUN_C
    sun_level = heat_level(in_sun, scale)
    return HeatCaution(index, heat_level(index, scale), in_sun, sun_level, scale, ADVICE[sun_level], LOCAL_RULES)


def _checked_f(air_c: float, humidity_pct: float) -> float:
    within("air_c", air_c, -60, 60)
    within("humidity_pct", humidity_pct, 0, 100)
    return celsius_to_fahrenheit(air_c)


def _regression_f(t: float, r: float) -> float:
    linear = -42.379 + 2.04901523 * t + 10.14333127 * r - 0.22475541 * t * r
    square = -6.83783e-3 * t * t - 5.481717e-2 * r * r
    return linear + square + 1.22874e-3 * t * t * r + 8.5282e-4 * t * r * r - 1.99e-6 * t * t * r * r


def _adjustment_f(t: float, r: float) -> float:
    if r < 13 and 80 <= t <= 112:  # noqa: PLR2004 - the corners of the printed rule
        return -(13 - r) / 4 * math.sqrt((17 - abs(t - 95)) / 17)
    if r > 85 and 80 <= t <= 87:  # noqa: PLR2004 - the corners of the printed rule
        return (r - 85) / 10 * ((87 - t) / 5)
    return 0.0
