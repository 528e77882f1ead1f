"""Is this tray too heavy to lift this way, this often?

The equation covers two hands, standing, a stable load, good footing and mild air. It does not cover pulling the
transplanter, carrying trays along the bed, kneeling, wheelbarrows or shovels: see `NOT_COVERED`.
"""

import math
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from shared_models.trade.validation import not_negative, positive, within


class Coupling(StrEnum):
    """How well the hands hold the load. In doubt take the worse."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"


@dataclass(frozen=True, slots=True)
class LiftingUnits:
    """One of the two sets of constants that the manual prints; they are not exact conversions of each other."""

    load: float
    nearest: float
    farthest: float
    knuckle_height: float
    height_slope: float
    highest: float
    travel_constant: float
    shortest_travel: float
    longest_travel: float


KG_CM = LiftingUnits(23, 25, 63, 75, 0.003, 175, 4.5, 25, 175)
LB_IN = LiftingUnits(51, 10, 25, 30, 0.0075, 70, 1.8, 10, 70)

_COUPLING = {
    Coupling.GOOD: (1.0, 1.0),
    Coupling.FAIR: (0.95, 1.0),
    Coupling.POOR: (0.9, 0.9),
}
_LIFTS_PER_MIN = (0.2, 0.5, *(float(lifts) for lifts in range(1, 16)))
#: Table 5 by hours of lifting, then hands below and from knuckle height; a column ends where lifting is ruled out.
_SHORT = (1.0, 0.97, 0.94, 0.91, 0.88, 0.84, 0.8, 0.75, 0.7, 0.6, 0.52, 0.45, 0.41, 0.37, 0.34, 0.31, 0.28)
_MODERATE = (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.6, 0.5, 0.42, 0.35, 0.3, 0.26, 0.23, 0.21)
_LONG = (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18, 0.15, 0.13)
_FREQUENCY = ((1, _SHORT[:14], _SHORT), (2, _MODERATE[:12], _MODERATE), (8, _LONG[:10], _LONG))


@dataclass(frozen=True, slots=True)
class Lift:
    """One lift, at the end that is judged: its place and path in cm or in, its turn in degrees, how often, how long.

    `origin_height` is the height of the hands where the lift starts, which the frequency table asks for even when the
    lift is judged at its destination; None: the height given.
    """

    reach: float
    height: float
    travel: float
    asymmetry_deg: float = 0.0
    lifts_per_min: float = 0.2
    hours: float = 1.0
    coupling: Coupling = Coupling.GOOD
    origin_height: float | None = None


@dataclass(frozen=True, slots=True)
class Multipliers:
    """The six shares that make the load constant smaller."""

    horizontal: float
    vertical: float
    distance: float
    asymmetry: float
    frequency: float
    coupling: float


def frequency_multiplier(lifts_per_min: float, hours: float, height: float, units: LiftingUnits = KG_CM) -> float:
    """Compute the frequency multiplier: how much less may be lifted because it is lifted often and for long.

    Formula: the manual's Table 5, linear between its rows; below 0.2 lifts a minute the first row; above the last row
        with a figure, 0. Hours up to 1, 2 and 8 are the table's short, moderate and long, if rest follows as it asks.
    Units: lifts per minute; hours; height of the hands at the start of the lift in the units given; share 0 to 1.
    Source: Waters, Putz-Anderson & Garg (1994, revised 2021), Applications Manual for the Revised NIOSH Lifting
        Equation, DHHS (NIOSH) 94-110, Table 5, as quoted in several public transcriptions. Between the last figure and
        the first 0 it leaves interpolation open; here such a lift is above the maximum.
    Raises: BadQuantity: when frequency or height is negative, or the hours not above 0 and up to 8.
    """
    not_negative("lifts_per_min", lifts_per_min)
    not_negative("height", height)
    positive("hours", hours)
    within("hours", hours, 0, 8)
    low, high = next((low, high) for limit, low, high in _FREQUENCY if hours <= limit)
    shares = low if height < units.knuckle_height else high
    column = tuple(zip(_LIFTS_PER_MIN, shares, strict=False))
    if lifts_per_min <= column[0][0]:
        return column[0][1]
    for (below, share), (above, smaller) in pairwise(column):
        if lifts_per_min <= above:
            return share + (smaller - share) * (lifts_per_min - below) / (above - below)
    return 0.0


def multipliers(lift: Lift, units: LiftingUnits = KG_CM) -> Multipliers:
    """Compute the multiplier of each part of the lift: reach, height, path, turn, frequency, grip.

    Formula: cm: 25/H; 1 - 0.003 |V - 75|; 0.82 + 4.5/D; 1 - 0.0032 A; Table 5; Table 7. in: 10/H; 1 - 0.0075 |V - 30|;
        0.82 + 1.8/D. H and D count as at least 25 cm (10 in); 0 when H > 63 cm (25 in), V > 175 cm (70 in), D > 175 cm
        (70 in) or A > 135 degrees.
    Units: lengths in the units given; degrees; shares 0 to 1.
    Source: Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH) 94-110 (revised 2021), section 1.3,
        as quoted in a public transcription. The formulas, not the rounded Tables 1 to 4.
    Raises: BadQuantity: when a length, the angle or the frequency is negative, or the hours not above 0 and up to 8.
    """
    for field in ("reach", "height", "travel", "asymmetry_deg"):
        not_negative(field, getattr(lift, field))
    reach, travel = max(lift.reach, units.nearest), max(lift.travel, units.shortest_travel)
    origin_height = lift.height if lift.origin_height is None else lift.origin_height
    below, above = _COUPLING[lift.coupling]
    return Multipliers(
        horizontal=units.nearest / reach if reach <= units.farthest else 0.0,
        vertical=1 - units.height_slope * abs(lift.height - units.knuckle_height)
        if lift.height <= units.highest
        else 0.0,
        distance=0.82 + units.travel_constant / travel if travel <= units.longest_travel else 0.0,
        asymmetry=1 - 0.0032 * lift.asymmetry_deg if lift.asymmetry_deg <= 135 else 0.0,  # noqa: PLR2004
        frequency=frequency_multiplier(lift.lifts_per_min, lift.hours, origin_height, units),
        coupling=below if lift.height < units.knuckle_height else above,
    )


def recommended_weight(lift: Lift, units: LiftingUnits = KG_CM) -> float:
    """Compute the heaviest load that nearly all healthy workers can lift like this without more risk to the back.

    A load that must be set down with care is judged at both ends of the lift; the smaller weight counts.

    Formula: RWL = load constant (23 kg, 51 lb) x the six multipliers
    Units: kg with lengths in cm, lb with lengths in in.
    Source: Waters, Putz-Anderson & Garg (1994, revised 2021), Applications Manual for the Revised NIOSH Lifting
        Equation, DHHS (NIOSH) 94-110, section 1.1. Not for the work in NOT_COVERED.
    Raises: BadQuantity: when a length, the angle or the frequency is negative, or the hours not above 0 and up to 8.
    """
    share = multipliers(lift, units)
    reduced = share.horizontal * share.vertical * share.distance * share.asymmetry * share.frequency * share.coupling
    return units.load * reduced


def lifting_index(load: float, lift: Lift, units: LiftingUnits = KG_CM) -> float:
    """Compare a load with the recommended weight: above 1 some people are at risk, above 3 nearly everybody.

    Formula: LI = load / RWL; infinite where nothing should be lifted like that
    Units: kg or lb, as the units given; no unit.
    Source: Waters, Putz-Anderson & Garg (1994, revised 2021), Applications Manual for the Revised NIOSH Lifting
        Equation, DHHS (NIOSH) 94-110, sections 1.1.2 and 1.4.
    Raises: BadQuantity: when the load is negative, or the lift cannot be.
    """
    not_negative("load", load)
    limit = recommended_weight(lift, units)
    return load / limit if limit else math.inf
