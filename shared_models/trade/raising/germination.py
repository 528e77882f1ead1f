"""How much of the seed will come up, and how many seeds does a cell need?"""

import math

from shared_models.trade.validation import positive, whole, within

#: A chance that meets the wish up to the rounding of a double meets it: 0.3 x 0.3 is 0.09.
_ROUNDING = 1e-9


def p_cell_empty(germination: float, seeds_per_cell: int) -> float:
    """Chance that no seed of a cell comes up.

    Formula: (1 - germination) ^ seeds per cell; the seeds are taken to come up independently of each other.
    Units: proportions, 0 to 1; seeds.
    Source: Binomial distribution.
    Raises: BadQuantity: when the germination is not from 0 to 1 or there is less than one seed.
    """
    within("germination", germination, 0, 1)
    whole("seeds_per_cell", seeds_per_cell, 1)
    return float((1.0 - germination) ** seeds_per_cell)


def seeds_per_cell_for(germination: float, p_empty: float) -> int:
    """Fewest seeds per cell that keep the chance of an empty cell at or below the wanted one.

    Formula: smallest n with (1 - germination) ^ n <= p_empty
    Units: proportions, 0 to 1; seeds.
    Source: Binomial distribution.
    Raises: BadQuantity: when the germination or p_empty is not above 0 and at most 1.
    """
    for field, share in (("germination", germination), ("p_empty", p_empty)):
        positive(field, share)
        within(field, share, 0, 1)
    if germination == 1:
        return 1
    return max(1, math.ceil(math.log(p_empty) / math.log1p(-germination) - _ROUNDING))


def germination_seen(cells_seen: int, cells_empty: int, seeds_per_cell: int) -> float:
    """Germination that the trays themselves show: the one at which the empty cells seen are what one would expect.

    Formula: 1 - (cells empty / cells seen) ^ (1 / seeds per cell), the inverse of the chance of an empty cell. Blocked
        cells and cells that lost their seed count as seed that did not come up.
    Units: cells; seeds; proportion, 0 to 1.
    Source: Binomial distribution.
    Raises: BadQuantity: when no cell was seen, more are empty than were seen, or there is less than one seed.
    """
    whole("cells_seen", cells_seen, 1)
    whole("cells_empty", cells_empty)
    within("cells_empty", cells_empty, 0, cells_seen)
    whole("seeds_per_cell", seeds_per_cell, 1)
    return 1.0 - float((cells_empty / cells_seen) ** (1.0 / seeds_per_cell))
