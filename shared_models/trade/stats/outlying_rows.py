"""Which rows have more misses than chance would explain?"""

import math
from collections.abc import Iterable, Sequence
from itertools import takewhile

from shared_models.errors import BadQuantity
from shared_models.trade.validation import inside, positive, whole

#: A planting without any odd row is said to have one this often. Common practice, no source.
USUAL_LUCK = 0.01
#: A chance so many times smaller than the largest of a sum is lost in a double, and so are all beyond it.
NOTHING = 1e-20


def row_chance(misses: int, all_misses: int, share: float) -> float:
    """Compute the probability that chance alone gives a row at least this many of its planting's misses.

    Formula: P(X >= misses), X binomial with `all_misses` trials and the row's share of the places as probability
    Units: plants; share of the places 0 to 1; probability 0 to 1.
    Source: Przyborowski & Wilenski (1940), Biometrika 31:313-323 (from memory): of two Poisson counts, one given their
        sum is binomial.
    Raises: BadQuantity: when a count is not a whole number from 0, the row has more misses than all rows, or the share
        is not between 0 and 1.
    """
    whole("misses", misses)
    whole("all_misses", all_misses)
    if misses > all_misses:
        raise BadQuantity("misses", misses, f"{all_misses} at most")
    inside("share", share)
    if misses > all_misses * share:
        return min(1.0, _tail(range(misses, all_misses + 1), all_misses, share))
    return max(0.0, 1.0 - _tail(range(misses - 1, -1, -1), all_misses, share))


def odd_rows(rows: Sequence[tuple[int, float]], luck: float = USUAL_LUCK) -> list[int]:
    """Name the rows, by their place in the list of (misses, places), that have more misses than luck explains.

    Formula: a row is odd where row_chance(its misses, all misses, its places / all places) x number of rows < luck
        (Bonferroni)
    Units: plants; probability 0 to 1.
    Source: as `row_chance`; the limit of 1 in 100 for a whole planting is common practice, no source.
    Raises: BadQuantity: when a row has no place, a count is not a whole number from 0, or the luck is not between 0
        and 1.
    """
    inside("luck", luck)
    for _, places in rows:
        positive("places", places)
    misses, places = sum(row[0] for row in rows), math.fsum(row[1] for row in rows)
    if len(rows) == 1:
        return []
    return [
        number for number, (missed, of) in enumerate(rows) if row_chance(missed, misses, of / places) * len(rows) < luck
    ]


def _tail(counts: Iterable[int], n: int, p: float) -> float:
    """Chance of these counts, which lead away from the likeliest; the sum ends where more of them change nothing."""
    chances = (_binomial(k, n, p) for k in counts)
    nearest = next(chances, 0.0)
    return math.fsum([nearest, *takewhile(lambda chance: chance > nearest * NOTHING, chances)])


def _binomial(k: int, n: int, p: float) -> float:
    log_ways = math.lgamma(n + 1) - math.lgamma(k + 1) - math.lgamma(n - k + 1)
    return math.exp(log_ways + k * math.log(p) + (n - k) * math.log1p(-p))
