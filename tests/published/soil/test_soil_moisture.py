"""Soil moisture by feel."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from shared_models.core.units import MM_PER_FOOT, mm_to_inches
from shared_models.core.vocabulary import Feel, Texture
from shared_models.trade.soil.feel import available_water, deficit_mm, depletion, water_capacity

if TYPE_CHECKING:
    from tests.published.conftest import Check

NRCS = "USDA-NRCS (1998), Estimating Soil Moisture by Feel and Appearance, Program Aid 1619"
WYOMING = f"{NRCS}, seen on NRCS Wyoming's pages (cid nrcs142p2_026831, nrcs142p2_026828)"
COPY = f"{NRCS}, as quoted in a public copy (docest.com/doc/692126)"
MEMORY = f"{NRCS}, from memory"
MONTANA = "USDA-NRCS Montana, field example of soil moisture by feel (cid nrcs144p2_056492), row seen"
MONTANA_MEMORY = "USDA-NRCS Montana, field example of soil moisture by feel, from memory"
BY_HAND = "computed by hand from the capacities of Program Aid 1619"

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
    low, high = deficit_mm(texture, *available_water(feel))

    published(source, f"highest deficit, {texture} {feel}, in/ft", mm_to_inches(high), high_in, HALF_A_TENTH)
    published(source, f"lowest deficit, {texture} {feel}, in/ft", mm_to_inches(low), low_in, HALF_A_TENTH)


@pytest.mark.parametrize(
    ("texture", "low_in", "high_in"), [(COARSE, 0.6, 1.2), (SANDY, 1.3, 1.7), (MEDIUM, 1.5, 2.1), (FINE, 1.6, 2.4)]
)
def test_capacities_are_those_printed(published: Check, texture: Texture, low_in: float, high_in: float) -> None:
    capacity = water_capacity(texture)

    published(WYOMING, f"capacity of {texture}, low, in/ft", mm_to_inches(capacity.low * MM_PER_FOOT), low_in, 1e-9)
    published(WYOMING, f"capacity of {texture}, high, in/ft", mm_to_inches(capacity.high * MM_PER_FOOT), high_in, 1e-9)


def test_a_share_between_the_classes_has_a_deficit_too(published: Check) -> None:
    low, high = deficit_mm(MEDIUM, 0.8, 0.8)

    published(BY_HAND, "loam at 80 %, low, in/ft", mm_to_inches(low), 0.30, 1e-9)
    published(BY_HAND, "loam at 80 %, high, in/ft", mm_to_inches(high), 0.42, 1e-9)


@pytest.mark.parametrize(
    ("source", "layer", "capacity_in", "deficit_in", "printed_pct"),
    [
        (MONTANA, "sandy loam, 0-12 in", 1.4, 1.0, 70),
        (MONTANA_MEMORY, "18 in", 1.4, 0.8, 55),
        (MONTANA_MEMORY, "loam, 30 in", 2.0, 0.8, 40),
        (MONTANA_MEMORY, "loam, 42 in", 2.0, 0.5, 25),
    ],
)
def test_depletion_of_a_layer_is_that_of_the_field_example(
    published: Check, source: str, layer: str, capacity_in: float, deficit_in: float, printed_pct: float
) -> None:
    """The example rounds to 5 %."""
    published(source, f"depletion of {layer}, %", 100 * depletion(deficit_in, capacity_in), printed_pct, 2.5)
