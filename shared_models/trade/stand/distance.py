"""How long is a row between two GPS fixes, and how far off could that be?

The error of the two fixes decides, not the formula: a phone under open sky is metres off. Lengths are level
and at sea level: a 10 % slope adds 0.5 %, 1,500 m of altitude 0.02 %.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist
from typing import NamedTuple

from shared_models.core.units import MM_PER_METRE
from shared_models.errors import BadQuantity
from shared_models.trade.validation import inside, positive, within

#: The WGS 84 ellipsoid, which GPS uses.
EQUATOR_RADIUS_M = 6_378_137.0
FLATTENING = 1 / 298.257_223_563
POLE_RADIUS_M = EQUATOR_RADIUS_M * (1 - FLATTENING)
#: Chance that the truth lies within the circle of accuracy, as Android defines it.
PHONE_CONFIDENCE = 0.68
#: Worst 95 % error, as a share of the length, that still spares the tape. Common practice, no source.
MAX_ERROR_SHARE = 0.05
#: Two fixes further apart are not the ends of one hand-pulled row. Common practice, no source.
LONGEST_ROW_MM = 2_000_000.0
Z_95 = NormalDist().inv_cdf(0.975)
#: Vincenty's iteration settles within 80 rounds for places more than 1° from opposite; to 1e-12 rad, 0.006 mm.
ROUNDS = 1000
SETTLED_RAD = 1e-12


class TapeReason(StrEnum):
    """Why a length from fixes should be measured with a tape instead."""

    ERROR_TOO_LARGE = "error_too_large"
    TOO_FAR_APART = "too_far_apart"


@dataclass(frozen=True, slots=True)
class Fix:
    """One GPS fix with the accuracy that the phone claims: the truth lies within `accuracy_m` with this confidence.

    A place that is not on Earth and an accuracy of 0 or less are refused with BadQuantity; phones say 0 for "unknown".
    """

    latitude_deg: float
    longitude_deg: float
    accuracy_m: float
    confidence: float = PHONE_CONFIDENCE

    def __post_init__(self) -> None:
        within("latitude_deg", self.latitude_deg, -90, 90)
        within("longitude_deg", self.longitude_deg, -180, 180)
        positive("accuracy_m", self.accuracy_m)
        inside("confidence", self.confidence)


@dataclass(frozen=True, slots=True)
class RowLength:
    """A row's length from two fixes; 95 times in 100 the truth lies within ± `error_mm`. `reason` says why to tape."""

    length_mm: float
    error_mm: float
    needs_tape: bool
    reason: TapeReason | None


def row_length(fix_a: Fix, fix_b: Fix, max_error_share: float = MAX_ERROR_SHARE) -> RowLength:
    """Length of a row from a fix at each end, with its honest error, or the advice to take a tape.

    Formula: length by geodesic_mm; error = 1.96 × √(σ_a² + σ_b²), with σ of each fix by axis_sd_mm. A tape is needed
        when the error is above 5 % of the length, or the ends are over 2 km apart. The two fixes are taken as
        independent, which is cautious for fixes minutes apart. The ± holds for rows well longer than it; shorter
        ones need the tape anyway.
    Units: degrees and metres in the fixes; answers in mm; max_error_share as a proportion.
    Source: textbook propagation of independent errors. The 5 % and the 2 km are common practice, no source.
    Raises: BadQuantity: when max_error_share is not above 0, or the fixes lie on opposite sides of the globe.
    """
    positive("max_error_share", max_error_share)
    length_mm = geodesic_mm(fix_a.latitude_deg, fix_a.longitude_deg, fix_b.latitude_deg, fix_b.longitude_deg)
    error_mm = Z_95 * math.hypot(*(axis_sd_mm(fix.accuracy_m, fix.confidence) for fix in (fix_a, fix_b)))
    reason = _why_tape(length_mm, error_mm, max_error_share)
    return RowLength(length_mm=length_mm, error_mm=error_mm, needs_tape=reason is not None, reason=reason)


def axis_sd_mm(accuracy_m: float, confidence: float = PHONE_CONFIDENCE) -> float:
    """Standard deviation of a fix along one direction, from the accuracy circle that the phone reports.

    Formula: radius / √(−2 ln(1 − confidence)): the error is taken as normal and alike in all directions, so its
        distance from the truth follows a Rayleigh distribution.
    Units: radius in m, confidence as a proportion; answer in mm.
    Source: the Rayleigh distribution is textbook. That the radius is the 68th percentile is how Android's reference
        defines Location.getAccuracy, as quoted in the .NET for Android reference; another phone's can be given.
    Raises: BadQuantity: when the radius is not above 0, or the confidence not between 0 and 1.
    """
    positive("accuracy_m", accuracy_m)
    inside("confidence", confidence)
    return accuracy_m * MM_PER_METRE / math.sqrt(-2 * math.log1p(-confidence))


def geodesic_mm(latitude_a_deg: float, longitude_a_deg: float, latitude_b_deg: float, longitude_b_deg: float) -> float:
    """Shortest distance on the WGS 84 ellipsoid, to a millimetre.

    Formula: Vincenty's inverse solution: the longitude difference on an auxiliary sphere is found by iteration, then
        the arc is scaled by his series A and Δσ. Good for any two places but nearly opposite ones: within 1° of
        opposite the iteration may not settle, and then the pair is refused.
    Units: degrees; answer in mm.
    Source: T. Vincenty, Direct and inverse solutions of geodesics on the ellipsoid with application of nested
        equations, Survey Review 23(176):88–93 (1975), from memory; checked against C. F. F. Karney's GeographicLib.
    Raises: BadQuantity: when a place is not on Earth, or the two lie nearly opposite each other on the globe.
    """
    _on_earth(latitude_a_deg, longitude_a_deg)
    _on_earth(latitude_b_deg, longitude_b_deg)
    reduced_a, reduced_b = _reduced_latitude(latitude_a_deg), _reduced_latitude(latitude_b_deg)
    on_ellipsoid = math.remainder(math.radians(longitude_b_deg - longitude_a_deg), math.tau)
    on_sphere = on_ellipsoid
    for _ in range(ROUNDS):
        arc = _Arc.between(reduced_a, reduced_b, on_sphere)
        before, on_sphere = on_sphere, on_ellipsoid + arc.longitude_gain()
        if abs(on_sphere) > math.pi:
            break
        if abs(on_sphere - before) < SETTLED_RAD:
            return arc.length_m() * MM_PER_METRE
    raise BadQuantity("longitude_b_deg", longitude_b_deg, "not nearly opposite the other place on the globe")


class _Arc(NamedTuple):
    """Great circle on the auxiliary sphere: length σ, sine and cosine² of its azimuth α at the equator, cos 2σ_m."""

    sigma: float
    sin_alpha: float
    cos2_alpha: float
    middle: float

    @classmethod
    def between(cls, reduced_a: float, reduced_b: float, longitude: float) -> _Arc:
        sin_a, cos_a, sin_b, cos_b = math.sin(reduced_a), math.cos(reduced_a), math.sin(reduced_b), math.cos(reduced_b)
        east, north = cos_b * math.sin(longitude), cos_a * sin_b - sin_a * cos_b * math.cos(longitude)
        sin_sigma, cos_sigma = math.hypot(east, north), sin_a * sin_b + cos_a * cos_b * math.cos(longitude)
        sin_alpha = cos_a * east / sin_sigma if sin_sigma else 0.0  # 0: the same place
        cos2_alpha = max(0.0, 1 - sin_alpha**2)
        middle = cos_sigma - 2 * sin_a * sin_b / cos2_alpha if cos2_alpha else 0.0  # 0: along the equator
        return cls(math.atan2(sin_sigma, cos_sigma), sin_alpha, cos2_alpha, middle)

    def longitude_gain(self) -> float:
        """How much further the longitude turns on the sphere than on the ellipsoid."""
        c = FLATTENING / 16 * self.cos2_alpha * (4 + FLATTENING * (4 - 3 * self.cos2_alpha))
        bracket = self.middle + c * math.cos(self.sigma) * (2 * self.middle**2 - 1)
        return (1 - c) * FLATTENING * self.sin_alpha * (self.sigma + c * math.sin(self.sigma) * bracket)

    def length_m(self) -> float:
        """Length on the ellipsoid."""
        sin_sigma, cos_sigma, middle = math.sin(self.sigma), math.cos(self.sigma), self.middle
        u2 = self.cos2_alpha * (EQUATOR_RADIUS_M**2 - POLE_RADIUS_M**2) / POLE_RADIUS_M**2
        a = 1 + u2 / 16384 * (4096 + u2 * (-768 + u2 * (320 - 175 * u2)))
        b = u2 / 1024 * (256 + u2 * (-128 + u2 * (74 - 47 * u2)))
        inner = cos_sigma * (2 * middle**2 - 1) - b / 6 * middle * (4 * sin_sigma**2 - 3) * (4 * middle**2 - 3)
        return POLE_RADIUS_M * a * (self.sigma - b * sin_sigma * (middle + b / 4 * inner))


def _reduced_latitude(latitude_deg: float) -> float:
    return math.atan((1 - FLATTENING) * math.tan(math.radians(latitude_deg)))


def _why_tape(length_mm: float, error_mm: float, max_error_share: float) -> TapeReason | None:
    if length_mm > LONGEST_ROW_MM:
        return TapeReason.TOO_FAR_APART
    if error_mm > max_error_share * length_mm:
        return TapeReason.ERROR_TOO_LARGE
    return None


def _on_earth(latitude_deg: float, longitude_deg: float) -> None:
    within("latitude_deg", latitude_deg, -90, 90)
    within("longitude_deg", longitude_deg, -360, 360)  # tables of test lines count eastwards past 180
