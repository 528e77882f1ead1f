"""How evenly are the plants spaced along the row, by a tape sample?

Lay a tape along the row and note where each plant stands. Mean and spread of all gaps hide what matters, because one
skip outweighs many small shifts; so the gaps are sorted by the set spacing first, and only the singles are measured.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean, stdev

from shared_models.errors import BadQuantity
from shared_models.trade.validation import finite, not_negative, positive

#: Share of the set spacing by which a gap may pass a boundary and still lie on it: arithmetic, not tape.
HAIR = 1e-9
#: Fewer singles than this have no spread.
LEAST_FOR_SPREAD = 2


@dataclass(frozen=True, slots=True)
class Evenness:
    """What a tape sample says, counted in gaps from plant to plant. The three indices are proportions and sum to 1.

    `skips` holds the missing plants of each skip, in the order of the tape. `precision` is the standard deviation of
    the singles over the set spacing, `singles_cv` the same over the singles' own mean; both are None below two singles.
    """

    gaps: int
    multiples: int
    singles: int
    skips: tuple[int, ...]
    precision: float | None
    singles_cv: float | None

    @property
    def multiples_index(self) -> float:
        """Share of gaps of at most half the set spacing (D)."""
        return self.multiples / self.gaps

    @property
    def miss_index(self) -> float:
        """Share of gaps of more than one and a half set spacings (M)."""
        return len(self.skips) / self.gaps

    @property
    def quality_of_feed(self) -> float:
        """Share of gaps in between: one plant where one belongs (A)."""
        return self.singles / self.gaps

    @property
    def missing_plants(self) -> int:
        """Plants missing in all skips together: the spares to carry."""
        return sum(self.skips)


def gaps_between(positions_mm: Sequence[float]) -> tuple[float, ...]:
    """Gaps from each plant to the next, from where they stand along the tape.

    Formula: each position − the one before it.
    Units: positions along the tape in mm, in the order of the tape; answer in mm.
    Source: definition.
    Raises: BadQuantity: when a position is not a number, or lies before the one noted ahead of it.
    """
    for position in positions_mm:
        finite("positions_mm", position)
    for before, after in pairwise(positions_mm):
        if after < before:
            raise BadQuantity("positions_mm", after, f"no less than the position before it, {before:g}")
    return tuple(after - before for before, after in pairwise(positions_mm))


def missing_plants(gap_mm: float, set_spacing_mm: float) -> int:
    """Plants missing in one gap.

    Formula: 0 up to 1.5 set spacings, 1 up to 2.5, 2 up to 3.5, and so on: ceil(gap / set spacing − 0.5) − 1, at
        least 0. A gap on a boundary belongs to the lower side.
    Units: gap and set spacing in mm; answer in plants.
    Source: the five divisions of S. D. Kachman & J. A. Smith, Alternative measures of accuracy in plant spacing for
        planters using single seed metering, Transactions of the ASAE 38(2):379–387 (1995), as quoted by Iowa State
        University Extension, Plant uniformity measurements. The source stops at "over 3.5"; here the divisions go on.
    Raises: BadQuantity: when the gap is below 0 or the set spacing is not above 0.
    """
    return max(0, _spacings_spanned(gap_mm, set_spacing_mm) - 1)


def evenness(gaps_mm: Sequence[float], set_spacing_mm: float) -> Evenness:
    """Sort the gaps of a tape sample into multiples, singles and skips, and measure the spread of the singles.

    Formula: with x a gap, x_ref the set spacing and N the number of gaps:
        multiples index D = #(x ≤ 0.5 x_ref) / N; miss index M = #(x > 1.5 x_ref) / N; quality of feed A = the rest / N;
        precision C = s / x_ref, with s the standard deviation of the singles (divisor n − 1) about their own mean.
        Singles spread evenly over their whole class give C = 1/√12 = 28.9 %; well below that is even spacing.
    Units: gaps and set spacing in mm; answers as proportions (0.10 for 10 %).
    Source: ISO 7256-1 (1984), as quoted by R. P. Bracy & R. L. Parish, A comparison of seeding uniformity of agronomic
        and vegetable seeders, HortTechnology; S. D. Kachman & J. A. Smith, Transactions of the ASAE 38(2):379–387
        (1995), as quoted by Iowa State University Extension. For C the divisor x_ref is chosen (Kachman & Smith, from
        memory); the singles' own mean is in print too and is answered as singles_cv.
    Raises: BadQuantity: when there is no gap, a gap is below 0, or the set spacing is not above 0.
    """
    if not gaps_mm:
        raise BadQuantity("gaps_mm", 0, "at least one gap, so two plants")
    spanned = [_spacings_spanned(gap, set_spacing_mm) for gap in gaps_mm]
    singles = [gap for gap, spacings in zip(gaps_mm, spanned, strict=True) if spacings == 1]
    spread = stdev(singles) if len(singles) >= LEAST_FOR_SPREAD else None
    return Evenness(
        gaps=len(gaps_mm),
        multiples=spanned.count(0),
        singles=len(singles),
        skips=tuple(spacings - 1 for spacings in spanned if spacings > 1),
        precision=None if spread is None else spread / set_spacing_mm,
        singles_cv=None if spread is None else spread / fmean(singles),
    )


def _spacings_spanned(gap_mm: float, set_spacing_mm: float) -> int:
    """0 for a multiple, 1 for a single, 2 where one plant is missing, and so on."""
    not_negative("gap_mm", gap_mm)
    positive("set_spacing_mm", set_spacing_mm)
    return max(0, math.ceil(gap_mm / set_spacing_mm - 0.5 - HAIR))
