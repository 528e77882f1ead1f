"""How much of the seed will come up, and how many seeds does a cell need?"""

from __future__ import annotations

import math
from types import MappingProxyType
from typing import TYPE_CHECKING

from shared_models.trade.checks import positive, whole, within
from shared_models.trade.raising.crops import crop_key

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "FEDERAL_MINIMUM_PCT",
    "federal_minimum",
    "germination_seen",
    "meets_federal_minimum",
    "p_cell_empty",
    "seeds_per_cell_for",
]

#: Minimum germination of vegetable seed in interstate commerce, %, hard seed included: 7 CFR 201.31 (59 FR 64491).
FEDERAL_MINIMUM_PCT: Mapping[str, int] = MappingProxyType(
    {
        "Artichoke": 60,
        "Asparagus": 70,
        "Asparagusbean": 75,
        "Bean, garden": 70,
        "Bean, lima": 70,
        "Bean, runner": 75,
        "Beet": 65,
        "Broadbean": 75,
        "Broccoli": 75,
        "Brussels sprouts": 70,
        "Burdock, great": 60,
        "Cabbage": 75,
        "Cabbage, tronchuda": 70,
        "Cardoon": 60,
        "Carrot": 55,
        "Cauliflower": 75,
        "Celeriac": 55,
        "Celery": 55,
        "Chard, Swiss": 65,
        "Chicory": 65,
        "Chinese cabbage": 75,
        "Chives": 50,
        "Citron": 65,
        "Collards": 80,
        "Corn, sweet": 75,
        "Cornsalad": 70,
        "Cowpea": 75,
        "Cress, garden": 75,
        "Cress, upland": 60,
        "Cress, water": 40,
        "Cucumber": 80,
        "Dandelion": 60,
        "Dill": 60,
        "Eggplant": 60,
        "Endive": 70,
        "Kale": 75,
        "Kale, Chinese": 75,
        "Kale, Siberian": 75,
        "Kohlrabi": 75,
        "Leek": 60,
        "Lettuce": 80,
        "Melon": 75,
        "Mustard, India": 75,
        "Mustard, spinach": 75,
        "Okra": 50,
        "Onion": 70,
        "Onion, Welsh": 70,
        "Pak-choi": 75,
        "Parsley": 60,
        "Parsnip": 60,
        "Pea": 80,
        "Pepper": 55,
        "Pumpkin": 75,
        "Radish": 75,
        "Rhubarb": 60,
        "Rutabaga": 75,
        "Sage": 60,
        "Salsify": 75,
        "Savory, summer": 55,
        "Sorrel": 65,
        "Soybean": 75,
        "Spinach": 60,
        "Spinach, New Zealand": 40,
        "Squash": 75,
        "Tomato": 75,
        "Tomato, husk": 50,
        "Turnip": 80,
        "Watermelon": 70,
    }
)

_BY_KEY = {crop_key(name): percent / 100 for name, percent in FEDERAL_MINIMUM_PCT.items()} | {
    crop_key("scallion"): FEDERAL_MINIMUM_PCT["Onion, Welsh"] / 100  # sold as either; both stand at 70
}

#: A chance that meets the wish up to the rounding of a double meets it: 0.3 x 0.3 is 0.09.
_ROUNDING = 1e-9


def federal_minimum(crop: str) -> float | None:
    """Share of seed that must germinate by federal law, or None when the law names no figure for the crop.

    Formula: the printed percentage / 100; a scallion counts as Welsh onion.
    Units: proportion, 0 to 1.
    Source: Federal Seed Act regulations, 7 CFR 201.31 (59 FR 64491, 14 Dec. 1994), as quoted at law.lawstack.com;
        part 201 was revised in 2020 (85 FR 40571), so check the eCFR before relying on a figure.
    """
    return _BY_KEY.get(crop_key(crop))


def meets_federal_minimum(crop: str, germination: float) -> bool | None:
    """Whether a seed lot stands at the federal minimum or above; None when the law names no figure for the crop.

    Formula: germination >= minimum. Below it a lot must be labelled "Below Standard".
    Units: proportion, 0 to 1.
    Source: 7 CFR 201.31 and 201.29, as quoted at law.lawstack.com and lexbuild.dev.
    Raises: BadQuantity: when the germination is not from 0 to 1.
    """
    within("germination", germination, 0, 1)
    minimum = federal_minimum(crop)
    return None if minimum is None else germination >= minimum


def p_cell_empty(germination: float, seeds_per_cell: int) -> float:
    """Chance that no seed of a cell comes up.

    Formula: (1 - germination) ^ seeds per cell; the seeds are taken to come up independently of each other.
    Units: proportions, 0 to 1; seeds.
    Source: Binomial distribution.
    Raises: BadQuantity: when the germination is not from 0 to 1 or there is less than one seed.
    """
    within("germination", germination, 0, 1)
    whole("seeds_per_cell", seeds_per_cell, 1)
    return float((1.0 - germination) ** seeds_per_cell)


def seeds_per_cell_for(germination: float, p_empty: float) -> int:
    """Fewest seeds per cell that keep the chance of an empty cell at or below the wanted one.

    Formula: smallest n with (1 - germination) ^ n <= p_empty
    Units: proportions, 0 to 1; seeds.
    Source: Binomial distribution.
    Raises: BadQuantity: when the germination or p_empty is not above 0 and at most 1.
    """
    for field, share in (("germination", germination), ("p_empty", p_empty)):
        positive(field, share)
        within(field, share, 0, 1)
    if germination == 1:
        return 1
    return max(1, math.ceil(math.log(p_empty) / math.log1p(-germination) - _ROUNDING))


def germination_seen(cells_seen: int, cells_empty: int, seeds_per_cell: int) -> float:
    """Germination that the trays themselves show: the one at which the empty cells seen are what one would expect.

    Formula: 1 - (cells empty / cells seen) ^ (1 / seeds per cell), the inverse of the chance of an empty cell. Blocked
        cells and cells that lost their seed count as seed that did not come up.
    Units: cells; seeds; proportion, 0 to 1.
    Source: Binomial distribution.
    Raises: BadQuantity: when no cell was seen, more are empty than were seen, or there is less than one seed.
    """
    whole("cells_seen", cells_seen, 1)
    whole("cells_empty", cells_empty)
    within("cells_empty", cells_empty, 0, cells_seen)
    whole("seeds_per_cell", seeds_per_cell, 1)
    return 1.0 - float((cells_empty / cells_seen) ** (1.0 / seeds_per_cell))
