import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.vocabulary import Feel
from shared_models.errors import BadQuantity
from shared_models.trade.misses.factors import Factor, RowFacts, columns_of, plantings_of, share_within, values_of


def test_a_class_seen_in_too_few_rows_counts_as_not_known() -> None:
    rows = [RowFacts(1, 100, moisture=Feel.MOIST)] * 3 + [RowFacts(1, 100, moisture=Feel.WET)] * 2

    assert values_of(Factor.MOISTURE, rows, 3) == [Feel.MOIST] * 3 + [None] * 2
    assert values_of(Factor.MOISTURE, rows, 2).count(None) == 0


def test_a_figure_counts_however_seldom_it_was_seen() -> None:
    assert values_of(Factor.DEPTH, [RowFacts(1, 100, depth_mm=30), RowFacts(1, 100)], 3) == [30, None]


def test_classes_become_columns_against_the_commonest() -> None:
    first, second = columns_of(Factor.CREW, ["A", "B", "B", "C", "B", "A"])

    assert (first.level, first.usual, first.values) == ("A", "B", (1, 0, 0, 0, 0, 1))
    assert (second.level, second.usual, second.values) == ("C", "B", (0, 0, 0, 1, 0, 0))


def test_a_figure_is_its_own_column() -> None:
    (column,) = columns_of(Factor.DEPTH, [20, 30.5, 20])

    assert (column.level, column.values) == (None, (20, 30.5, 20))


@pytest.mark.parametrize(
    ("factor", "values"),
    [(Factor.DEPTH, []), (Factor.DEPTH, [30, 30]), (Factor.DEPTH, [30, 30.9]), (Factor.CREW, ["A", "A"])],
)
def test_what_hardly_varies_gives_no_column(factor: Factor, values: list[float | str | None]) -> None:
    assert columns_of(factor, values) == []


def test_a_tenth_of_a_step_is_enough_to_compare() -> None:
    assert len(columns_of(Factor.DEPTH, [30, 31])) == 1


def test_rows_without_a_planting_stand_by_themselves() -> None:
    rows = [RowFacts(1, 9, planting=name) for name in ("P1", None, "P2", "P1", None)]

    assert plantings_of(rows) == [[0, 3], [1], [2], [4]]


def test_scatter_lies_within_plantings_or_between_them() -> None:
    plantings = [[0, 1], [2, 3]]

    assert share_within([1, 2, 1, 2], plantings) == pytest.approx(1)
    assert share_within([1, 1, 2, 2], plantings) == 0
    assert share_within([3, 3, 3, 3], plantings) == 0


@given(st.lists(st.floats(-100, 100), min_size=6, max_size=6))
def test_the_share_within_plantings_is_a_share(values: list[float]) -> None:
    assert -1e-9 <= share_within(values, [[0, 1, 2], [3], [4, 5]]) <= 1 + 1e-9


@pytest.mark.parametrize(
    "facts",
    [
        {"misses": -1},
        {"misses": 101},
        {"misses": 1.5},
        {"positions": 0},
        {"positions": math.nan},
        {"depth_mm": -1},
        {"plant_age_days": math.inf},
        {"tillage_age_h": math.nan},
        {"spacing_mm": -5},
    ],
)
def test_what_no_row_can_show_is_refused(facts: dict[str, Any]) -> None:
    with pytest.raises(BadQuantity):
        RowFacts(**({"misses": 1, "positions": 100} | facts))
