"""Rows with more misses than luck gives them."""

import random

import pytest
from scipy import stats

from shared_models.errors import BadQuantity
from shared_models.trade.stats.outlying_rows import odd_rows, row_chance


@pytest.mark.parametrize(
    ("misses", "of", "share"),
    [
        *[(0, 0, 0.5), (3, 10, 0.25), (9, 12, 0.25), (40, 200, 0.1), (5, 5, 0.2)],
        *[
            (1, 200, 0.1),
            (20, 200, 0.1),
            (21, 200, 0.1),
            (700, 10**6, 0.5),
            (500_000, 10**6, 0.5),
            (505_000, 10**6, 0.5),
        ],
    ],
)
def test_luck_is_the_tail_of_the_binomial(misses: int, of: int, share: float) -> None:
    """On either side of what is likeliest, and where a slip of the pen has a million misses."""
    assert row_chance(misses, of, share) == pytest.approx(stats.binom.sf(misses - 1, of, share))


def test_a_row_that_stands_out_is_named_by_its_place() -> None:
    assert odd_rows([(1, 600), (0, 600), (12, 600), (2, 600)]) == [2]


def test_a_longer_row_may_have_more_misses() -> None:
    assert odd_rows([(2, 100), (12, 600)]) == []


@pytest.mark.parametrize("rows", [[], [(50, 600)], [(0, 600), (0, 600)], [(1, 600), (2, 600)]])
def test_few_rows_or_misses_name_none(rows: list[tuple[int, float]]) -> None:
    assert odd_rows(rows) == []


def test_plantings_without_an_odd_row_hardly_ever_name_one() -> None:
    draw = random.Random(5)
    plantings = [[(sum(draw.random() < 0.01 for _ in range(300)), 300.0) for _ in range(5)] for _ in range(400)]

    assert sum(bool(odd_rows(planting)) for planting in plantings) / 400 < 0.02


def test_what_no_row_can_have_is_refused() -> None:
    for rows in ([(-1, 10.0), (0, 10.0)], [(1, 0.0), (0, 10.0)]):
        with pytest.raises(BadQuantity):
            odd_rows(rows)
    with pytest.raises(BadQuantity):
        odd_rows([(1, 10.0)], luck=1)
    with pytest.raises(BadQuantity):
        row_chance(3, 2, 0.5)
    with pytest.raises(BadQuantity):
        row_chance(1, 2, 1.0)
