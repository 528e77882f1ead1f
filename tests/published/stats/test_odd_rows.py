"""Rows with more misses than luck gives them."""

import pytest
from scipy import stats

from shared_models.trade.stats.outlying_rows import odd_rows, row_chance
from tests.published.conftest import Check

SCIPY = "computed with scipy 1.17 (binomtest, one-sided): of two Poisson counts, one given their sum is binomial"


@pytest.mark.parametrize(
    ("misses", "of", "share"),
    [(0, 9, 0.2), (4, 9, 0.2), (9, 9, 0.2), (3, 40, 0.2), (12, 40, 0.2), (60, 180, 0.25), (9_000, 44_000, 0.2)],
)
def test_luck_of_a_row(published: Check, misses: int, of: int, share: float) -> None:
    expected = float(stats.binomtest(misses, of, share, alternative="greater").pvalue)

    got = row_chance(misses, of, share)

    published(SCIPY, f"{misses} of {of} misses on {share:.0%} of the places", got, expected, 1e-9 * max(1e-9, expected))


def test_rows_named_are_those_that_the_library_would_name(published: Check) -> None:
    """One in a hundred for the whole planting: each row at one in 600."""
    rows = [(2, 600.0), (11, 600.0), (14, 600.0), (0, 600.0), (3, 300.0), (1, 600.0)]
    misses, places = sum(row[0] for row in rows), sum(row[1] for row in rows)
    luck = [stats.binomtest(row[0], misses, row[1] / places, alternative="greater").pvalue for row in rows]

    found = odd_rows(rows)

    published(SCIPY, "odd rows among six", len(found), sum(each < 0.01 / len(rows) for each in luck), 0)
    assert found == [2]
