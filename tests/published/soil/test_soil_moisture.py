"""Soil moisture by feel."""

import pytest

from shared_models.core.units import MM_PER_FOOT, mm_to_inches
from shared_models.core.vocabulary import Feel, Texture
from shared_models.trade.soil.feel import available_water, water_capacity
from tests.published.conftest import Check

NRCS = "USDA-NRCS (1998), Estimating Soil Moisture by Feel and Appearance, Program Aid 1619"
WYOMING = f"{NRCS}, seen on NRCS Wyoming's pages (cid nrcs142p2_026831, nrcs142p2_026828)"
COPY = f"{NRCS}, as quoted in a public copy (docest.com/doc/692126)"
MEMORY = f"{NRCS}, from memory"

HALF_A_TENTH = 0.05 + 1e-9
COARSE, SANDY, MEDIUM, FINE = Texture


@pytest.mark.parametrize(
    ("source", "texture", "feel", "high_in", "low_in"),
    [
        (COPY, COARSE, Feel.DRY, 1.2, 0.5),
        (COPY, COARSE, Feel.SLIGHTLY_MOIST, 0.9, 0.3),
        (COPY, COARSE, Feel.MOIST, 0.6, 0.2),
        (MEMORY, COARSE, Feel.WET, 0.3, 0.0),
        (MEMORY, COARSE, Feel.FIELD_CAPACITY, 0.0, 0.0),
        (COPY, SANDY, Feel.DRY, 1.7, 1.0),
        (COPY, SANDY, Feel.SLIGHTLY_MOIST, 1.3, 0.7),
        (MEMORY, SANDY, Feel.MOIST, 0.9, 0.3),
        (MEMORY, SANDY, Feel.WET, 0.4, 0.0),
        (MEMORY, SANDY, Feel.FIELD_CAPACITY, 0.0, 0.0),
        (WYOMING, MEDIUM, Feel.DRY, 2.1, 1.1),
        (WYOMING, MEDIUM, Feel.SLIGHTLY_MOIST, 1.6, 0.8),
        (WYOMING, MEDIUM, Feel.MOIST, 1.1, 0.4),
        (WYOMING, MEDIUM, Feel.WET, 0.5, 0.0),
        (WYOMING, MEDIUM, Feel.FIELD_CAPACITY, 0.0, 0.0),
        (WYOMING, FINE, Feel.DRY, 2.4, 1.2),
        (WYOMING, FINE, Feel.SLIGHTLY_MOIST, 1.8, 0.8),
        (WYOMING, FINE, Feel.MOIST, 1.2, 0.4),
        (WYOMING, FINE, Feel.WET, 0.6, 0.0),
        (WYOMING, FINE, Feel.FIELD_CAPACITY, 0.0, 0.0),
    ],
)
def test_the_whole_table_of_deficits_follows_from_the_rule(
    published: Check, source: str, texture: Texture, feel: Feel, high_in: float, low_in: float
) -> None:
    available, capacity = available_water(feel), water_capacity(texture)
    low = capacity.low * (1 - available.high) * MM_PER_FOOT
    high = capacity.high * (1 - available.low) * MM_PER_FOOT

    published(source, f"highest deficit, {texture} {feel}, in/ft", mm_to_inches(high), high_in, HALF_A_TENTH)
    published(source, f"lowest deficit, {texture} {feel}, in/ft", mm_to_inches(low), low_in, HALF_A_TENTH)


@pytest.mark.parametrize(
    ("texture", "low_in", "high_in"), [(COARSE, 0.6, 1.2), (SANDY, 1.3, 1.7), (MEDIUM, 1.5, 2.1), (FINE, 1.6, 2.4)]
)
def test_capacities_are_those_printed(published: Check, texture: Texture, low_in: float, high_in: float) -> None:
    capacity = water_capacity(texture)

    published(WYOMING, f"capacity of {texture}, low, in/ft", mm_to_inches(capacity.low * MM_PER_FOOT), low_in, 1e-9)
    published(WYOMING, f"capacity of {texture}, high, in/ft", mm_to_inches(capacity.high * MM_PER_FOOT), high_in, 1e-9)
