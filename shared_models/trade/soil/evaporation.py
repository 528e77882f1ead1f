"""How much water can evaporate from the top of this soil before it is dry?"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from shared_models.core.vocabulary import Texture
from shared_models.errors import BadQuantity
from shared_models.trade.soil.feel import Span
from shared_models.trade.validation import not_negative, positive

#: Depth that evaporation dries: FAO-56 has 100 to 150 mm and tabulates 100.
LAYER_MM = 100.0


@dataclass(frozen=True, slots=True)
class SurfaceSoil:
    """The top of a soil: mm that leave as fast as the air takes them (REW), and mm that can evaporate at all (TEW)."""

    rew_mm: float
    tew_mm: float

    def __post_init__(self) -> None:
        """Refuse a first stage that is longer than the whole drying."""
        not_negative("rew_mm", self.rew_mm)
        positive("tew_mm", self.tew_mm)
        if self.rew_mm >= self.tew_mm:
            raise BadQuantity("rew_mm", self.rew_mm, f"less than tew_mm ({self.tew_mm:g})")


@dataclass(frozen=True, slots=True)
class FaoSoil:
    """A row of the table: water content at field capacity and wilting point, REW and TEW, each from low to high."""

    field_capacity: Span
    wilting_point: Span
    rew_mm: Span
    tew_mm: Span


#: FAO-56, Table 19, for a layer of 100 mm. REW and TEW of silt and of silty clay are from memory.
FAO_SOILS: Mapping[str, FaoSoil] = MappingProxyType(
    {
        "sand": FaoSoil(Span(0.07, 0.17), Span(0.02, 0.07), Span(2, 7), Span(6, 12)),
        "loamy sand": FaoSoil(Span(0.11, 0.19), Span(0.03, 0.10), Span(4, 8), Span(9, 14)),
        "sandy loam": FaoSoil(Span(0.18, 0.28), Span(0.06, 0.16), Span(6, 10), Span(15, 20)),
        "loam": FaoSoil(Span(0.20, 0.30), Span(0.07, 0.17), Span(8, 10), Span(16, 22)),
        "silt loam": FaoSoil(Span(0.22, 0.36), Span(0.09, 0.21), Span(8, 11), Span(18, 25)),
        "silt": FaoSoil(Span(0.28, 0.36), Span(0.12, 0.22), Span(8, 11), Span(22, 26)),
        "silt clay loam": FaoSoil(Span(0.30, 0.37), Span(0.17, 0.24), Span(8, 11), Span(22, 27)),
        "silty clay": FaoSoil(Span(0.30, 0.42), Span(0.17, 0.29), Span(8, 12), Span(22, 28)),
        "clay": FaoSoil(Span(0.32, 0.40), Span(0.20, 0.24), Span(8, 12), Span(22, 29)),
    }
)

#: The rows of the table that hold the soils which the feel test names in each class (silt is named in none).
_ROWS = {
    Texture.COARSE: ("sand", "loamy sand"),
    Texture.MODERATELY_COARSE: ("sandy loam",),
    Texture.MEDIUM: ("loam", "silt loam"),
    Texture.FINE: ("silt clay loam", "silty clay", "clay"),
}


def evaporation_reduction(depletion_mm: float, soil: SurfaceSoil) -> float:
    """Compute how much slower than a wet surface the soil dries by now.

    Formula: Kr = 1 while De <= REW; then (TEW - De) / (TEW - REW); 0 from De = TEW on
    Units: mm of water lost since field capacity; share 0 to 1.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, equation 74.
    Raises: BadQuantity: when the depletion is negative.
    """
    not_negative("depletion_mm", depletion_mm)
    if depletion_mm <= soil.rew_mm:
        return 1.0
    return max(0.0, (soil.tew_mm - depletion_mm) / (soil.tew_mm - soil.rew_mm))


def surface_soils(texture: Texture) -> tuple[SurfaceSoil, SurfaceSoil, SurfaceSoil]:
    """Return the lightest, the middle and the heaviest surface of a texture class of the feel test.

    Formula: lowest figure, half way and highest figure of the table's rows in that class: coarse: sand, loamy sand;
        moderately coarse: sandy loam; medium: loam, silt loam; fine: silt clay loam, silty clay, clay
    Units: mm of water.
    Source: Allen et al. (1998), FAO Irrigation and Drainage Paper 56, Table 19 (REW and TEW of silty clay from
        memory); which rows belong to a class follows the soils that USDA-NRCS (1998), Program Aid 1619, names in it.
    """
    rows = [FAO_SOILS[name] for name in _ROWS[texture]]
    rew = Span(min(row.rew_mm.low for row in rows), max(row.rew_mm.high for row in rows))
    tew = Span(min(row.tew_mm.low for row in rows), max(row.tew_mm.high for row in rows))
    return SurfaceSoil(rew.low, tew.low), SurfaceSoil(rew.middle, tew.middle), SurfaceSoil(rew.high, tew.high)
