"""How much of the ground does residue cover, counted along a tape?"""

from collections.abc import Sequence
from dataclasses import dataclass

from shared_models.errors import BadQuantity
from shared_models.trade.stand.stand import wilson
from shared_models.trade.validation import whole, within


@dataclass(frozen=True, slots=True)
class Transect:
    """One tape: how many of its marks lay over residue."""

    hits: int
    marks: int

    def __post_init__(self) -> None:
        """Refuse more hits than marks, and a tape without marks."""
        whole("marks", self.marks, 1)
        whole("hits", self.hits)
        within("hits", self.hits, 0, self.marks)


@dataclass(frozen=True, slots=True)
class Cover:
    """Residue cover in percent, the range it may lie in, and from how many tapes."""

    percent: float
    low_percent: float
    high_percent: float
    transects: int


def residue_cover(transects: Sequence[Transect], confidence: float = 0.95) -> Cover:
    """Average the residue cover over all tapes laid in one bed.

    Formula: cover of a tape = hits / marks x 100; the tapes are averaged with equal weight. Range: Wilson score
        interval of that average over all marks together. Residue lies in clumps, so the true range is wider.
    Units: counts; percent of the ground.
    Source: University of Missouri Extension G1570 (1993) for the count; University of Nebraska-Lincoln
        (biosysengfacpub 254) for three sites or more; Wilson (1927), JASA 22:209-212, for the range. Tapes were found
        to read 10 points high against a grid (2021), Journal of Soil and Water Conservation 76:403.
    Raises: BadQuantity: when there is no tape, or the confidence is not between 0 and 1.
    """
    if not transects:
        raise BadQuantity("transects", 0, "1 or more")
    share = sum(tape.hits / tape.marks for tape in transects) / len(transects)
    marks = sum(tape.marks for tape in transects)
    likely = wilson(share * marks, marks, confidence)
    return Cover(100 * share, 100 * likely.low, 100 * likely.high, len(transects))
