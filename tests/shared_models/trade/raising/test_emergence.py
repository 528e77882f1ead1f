import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.raising.emergence import Basis, emergence, sprouting_range


@given(share=st.floats(0, 1), step=st.integers(0, 6))
def test_between_two_printed_temperatures_the_days_lie_between_the_printed_days(share: float, step: int) -> None:
    cool, warm = emergence("onion", 5 * step).days, emergence("onion", 5 * step + 5).days
    assert cool is not None
    assert warm is not None

    days = emergence("onion", 5 * (step + share)).days

    assert days is not None
    assert min(cool, warm) - 1e-9 <= days <= max(cool, warm) + 1e-9


def test_halfway_the_rate_is_the_mean_of_the_printed_rates() -> None:
    got = emergence("onion", 12.5)

    assert got.days == pytest.approx(1 / ((1 / 13 + 1 / 7) / 2))
    assert got.basis is Basis.BETWEEN
    assert got.normal_share == pytest.approx(0.98)


@pytest.mark.parametrize("crop", ["leek", "Scallions", "Welsh onion", "chives"])
def test_relatives_borrow_the_onion_row_and_say_so(crop: str) -> None:
    got, onion = emergence(crop, 20), emergence("onion", 20)

    assert got.borrowed
    assert not onion.borrowed
    assert (got.days, got.table_row) == (onion.days, "onion")


@pytest.mark.parametrize(
    ("crop", "soil_c", "basis"),
    [
        ("lettuce", 35, Basis.LITTLE_OR_NONE),
        ("lettuce", 31, Basis.LITTLE_OR_NONE),
        ("celery", 27, Basis.LITTLE_OR_NONE),
        ("beet", 2, Basis.NOT_TESTED),
        ("radish", 33, Basis.NOT_TESTED),
        ("onion", -1, Basis.OUTSIDE),
        ("onion", 41, Basis.OUTSIDE),
        ("marigold", 20, Basis.UNKNOWN_CROP),
    ],
)
def test_where_the_table_cannot_tell_nothing_is_guessed(crop: str, soil_c: float, basis: Basis) -> None:
    got = emergence(crop, soil_c)

    assert got.days is None
    assert got.basis is basis


def test_a_share_of_seedlings_that_the_copies_garble_is_left_open() -> None:
    got = emergence("cabbage", 20)

    assert got.days == 6
    assert got.normal_share is None


@pytest.mark.parametrize("soil_c", [math.nan, math.inf, -300, 100])
def test_impossible_soil_is_refused(soil_c: float) -> None:
    with pytest.raises(BadQuantity):
        emergence("onion", soil_c)


def test_a_leek_sprouts_in_the_onions_range_and_says_so() -> None:
    leek, onion = sprouting_range("leek"), sprouting_range("onion")

    assert leek is not None
    assert onion is not None
    assert leek.borrowed
    assert (leek.best_c, leek.highest_c) == (onion.best_c, onion.highest_c)


def test_a_crop_without_a_printed_range_has_none() -> None:
    assert sprouting_range("okra") is None
