from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.vocabulary import Texture
from shared_models.errors import BadQuantity
from shared_models.trade.soil.evaporation import (
    FAO_SOILS,
    SurfaceSoil,
    evaporation_reduction,
    surface_soils,
)

SANDY_LOAM = SurfaceSoil(8, 18)


def test_drying_slows_from_rew_on_and_ends_at_tew() -> None:
    assert evaporation_reduction(0, SANDY_LOAM) == 1
    assert evaporation_reduction(8, SANDY_LOAM) == 1
    assert evaporation_reduction(13, SANDY_LOAM) == 0.5
    assert evaporation_reduction(18, SANDY_LOAM) == 0
    assert evaporation_reduction(25, SANDY_LOAM) == 0


@given(st.floats(0, 30), st.floats(0, 5))
def test_drier_soil_never_dries_faster(depletion_mm: float, more_mm: float) -> None:
    drier = evaporation_reduction(depletion_mm + more_mm, SANDY_LOAM)

    assert 0 <= drier <= evaporation_reduction(depletion_mm, SANDY_LOAM) <= 1


@pytest.mark.parametrize("texture", Texture)
def test_a_texture_spans_soils_from_light_to_heavy(texture: Texture) -> None:
    for lighter, heavier in pairwise(surface_soils(texture)):
        assert lighter.rew_mm < heavier.rew_mm
        assert lighter.tew_mm < heavier.tew_mm


def test_coarse_soil_is_the_sands_and_fine_soil_the_clays() -> None:
    assert surface_soils(Texture.COARSE)[::2] == (SurfaceSoil(2, 6), SurfaceSoil(8, 14))
    assert surface_soils(Texture.MODERATELY_COARSE)[::2] == (SurfaceSoil(6, 15), SurfaceSoil(10, 20))
    assert surface_soils(Texture.MEDIUM)[::2] == (SurfaceSoil(8, 16), SurfaceSoil(11, 25))
    assert surface_soils(Texture.FINE)[::2] == (SurfaceSoil(8, 22), SurfaceSoil(12, 29))


@pytest.mark.parametrize("name", FAO_SOILS)
def test_a_row_of_the_table_reads_from_low_to_high(name: str) -> None:
    row = FAO_SOILS[name]

    for span in (row.field_capacity, row.wilting_point, row.rew_mm, row.tew_mm):
        assert span.low < span.high
    assert row.wilting_point.high < row.field_capacity.high


@pytest.mark.parametrize(
    "refused",
    [
        lambda: SurfaceSoil(10, 10),
        lambda: SurfaceSoil(-1, 10),
        lambda: SurfaceSoil(0, 0),
        lambda: evaporation_reduction(-1, SANDY_LOAM),
    ],
)
def test_impossible_soils_are_refused(refused: Callable[[], object]) -> None:
    with pytest.raises(BadQuantity):
        refused()
