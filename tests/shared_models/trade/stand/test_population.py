from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.units import SQUARE_METRES_PER_HECTARE
from shared_models.errors import BadQuantity
from shared_models.trade.stand.population import (
    counted_per_acre,
    counted_per_hectare,
    mean_row_spacing_mm,
    plants_per_acre,
    plants_per_hectare,
    row_mm_per_acre,
    thousandth_acre_row_mm,
)

spacings_mm = st.floats(5, 2_000)


@given(spacings_mm, spacings_mm)
def test_the_two_spacings_may_change_places(in_row_mm: float, between_mm: float) -> None:
    assert plants_per_acre(in_row_mm, between_mm) == pytest.approx(plants_per_acre(between_mm, in_row_mm))


@given(spacings_mm, spacings_mm)
def test_acre_and_hectare_tell_the_same_density(in_row_mm: float, between_mm: float) -> None:
    ratio = plants_per_hectare(in_row_mm, between_mm) / plants_per_acre(in_row_mm, between_mm)

    assert ratio == pytest.approx(SQUARE_METRES_PER_HECTARE / 4046.8564224)


@given(spacings_mm, spacings_mm)
def test_wider_spacing_means_fewer_plants(in_row_mm: float, between_mm: float) -> None:
    assert plants_per_acre(in_row_mm * 1.01, between_mm) < plants_per_acre(in_row_mm, between_mm)
    assert plants_per_hectare(in_row_mm, between_mm * 1.01) < plants_per_hectare(in_row_mm, between_mm)


@given(st.integers(1, 10_000), spacings_mm, spacings_mm)
def test_a_full_count_gives_back_the_population_of_its_spacing(
    plants: int, in_row_mm: float, between_mm: float
) -> None:
    length_mm = plants * in_row_mm

    assert counted_per_acre(plants, length_mm, between_mm) == pytest.approx(plants_per_acre(in_row_mm, between_mm))
    assert counted_per_hectare(plants, length_mm, between_mm) == pytest.approx(
        plants_per_hectare(in_row_mm, between_mm)
    )


@given(st.integers(0, 500), spacings_mm)
def test_a_count_in_a_thousandth_of_an_acre_times_1000_is_the_population(plants: int, between_mm: float) -> None:
    length_mm = thousandth_acre_row_mm(between_mm)

    assert counted_per_acre(plants, length_mm, between_mm) == pytest.approx(1000 * plants)
    assert length_mm * 1000 == pytest.approx(row_mm_per_acre(between_mm))


def test_the_path_counts_into_the_row_spacing_of_a_bed() -> None:
    assert mean_row_spacing_mm(3, 1_500) == 500


@pytest.mark.parametrize("bad", [0, -50.8, nan, inf])
def test_a_spacing_that_cannot_be_is_named(bad: float) -> None:
    for call in (plants_per_acre, plants_per_hectare):
        with pytest.raises(BadQuantity, match=r"^spacing_mm"):
            call(bad, 300)
        with pytest.raises(BadQuantity, match=r"^row_spacing_mm"):
            call(300, bad)
    for count in (counted_per_acre, counted_per_hectare):
        with pytest.raises(BadQuantity, match=r"^row_spacing_mm"):
            count(100, 10_000, bad)
        with pytest.raises(BadQuantity, match=r"^length_mm"):
            count(100, bad, 300)
    with pytest.raises(BadQuantity, match=r"^row_spacing_mm"):
        thousandth_acre_row_mm(bad)
    with pytest.raises(BadQuantity, match=r"^bed_spacing_mm"):
        mean_row_spacing_mm(3, bad)


def test_a_bed_without_rows_and_a_count_below_zero_are_refused() -> None:
    with pytest.raises(BadQuantity, match=r"^rows"):
        mean_row_spacing_mm(0, 1_500)
    with pytest.raises(BadQuantity, match=r"^plants"):
        counted_per_acre(-1, 10_000, 300)
    with pytest.raises(BadQuantity, match=r"^plants"):
        counted_per_hectare(-1, 10_000, 300)
