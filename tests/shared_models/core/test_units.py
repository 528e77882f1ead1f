import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.units import (
    MM_PER_FOOT,
    MM_PER_INCH,
    celsius_to_fahrenheit,
    fahrenheit_to_celsius,
    feet_to_mm,
    inches_to_mm,
    mm_to_feet,
    mm_to_inches,
)

Convert = Callable[[float], float]

PAIRS: list[tuple[Convert, Convert]] = [
    (feet_to_mm, mm_to_feet),
    (inches_to_mm, mm_to_inches),
    (fahrenheit_to_celsius, celsius_to_fahrenheit),
]
figures = st.floats(-1e9, 1e9)


@pytest.mark.parametrize(("there", "back"), [*PAIRS, *((back, there) for there, back in PAIRS)])
@given(figure=figures)
def test_there_and_back_is_where_it_began(there: Convert, back: Convert, figure: float) -> None:
    assert back(there(figure)) == pytest.approx(figure, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize("convert", [convert for pair in PAIRS for convert in pair])
@given(figure=figures, more=st.floats(1e-3, 1e6))
def test_more_stays_more(convert: Convert, figure: float, more: float) -> None:
    assert convert(figure + more) > convert(figure)


@given(figures)
def test_twelve_inches_are_a_foot(feet: float) -> None:
    assert inches_to_mm(12 * feet) == pytest.approx(feet_to_mm(feet))


@given(st.integers(0, 2_000_000))
def test_a_stored_length_survives_being_shown_in_feet_and_typed_again(mm: int) -> None:
    """Lengths are kept in whole millimeters; three decimals of a foot are finer than that."""
    assert round(feet_to_mm(round(mm_to_feet(mm), 3))) == mm


def test_the_units_are_those_of_their_definitions() -> None:
    """International foot of 1959; water freezes and boils; one scale crosses the other at -40."""
    assert (feet_to_mm(1), inches_to_mm(1)) == (304.8, 25.4)
    assert math.isclose(MM_PER_INCH * 12, MM_PER_FOOT)
    assert feet_to_mm(5280) == pytest.approx(1_609_344)
    assert [celsius_to_fahrenheit(celsius) for celsius in (0, 100, -40)] == [32, 212, -40]
