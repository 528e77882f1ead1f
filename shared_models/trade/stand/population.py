"""How many plants stand on an acre or a hectare, and how do I count them in the field?

All rules take the land as full to the margin: a plant owns one spacing along the row and one between the rows, paths
included in the latter. Nothing is rounded; printed tables differ by a plant because some round and some cut off.
"""

from shared_models.core.units import MM_PER_FOOT, MM_PER_METRE, SQUARE_FEET_PER_ACRE, SQUARE_METRES_PER_HECTARE
from shared_models.trade.validation import not_negative, positive

SQUARE_MM_PER_ACRE = SQUARE_FEET_PER_ACRE * MM_PER_FOOT**2
SQUARE_MM_PER_HECTARE = SQUARE_METRES_PER_HECTARE * MM_PER_METRE**2


def plants_per_acre(spacing_mm: float, row_spacing_mm: float) -> float:
    """Plants on an acre at a given spacing in the row and between the rows.

    Formula: 43,560 ft² / (spacing × row spacing), both in feet; that is 6,272,640 / (a × b) with both in inches.
    Units: both spacings in mm; answer in plants per acre, not rounded.
    Source: L. H. Bailey, Farm and Garden Rule-Book (Macmillan, 1911), number of plants required to set an acre, as
        transcribed at chestofbooks.com. The acre counts as full to the margin.
    Raises: BadQuantity: when a spacing is not above 0.
    """
    _both_positive(spacing_mm, row_spacing_mm)
    return SQUARE_MM_PER_ACRE / (spacing_mm * row_spacing_mm)


def plants_per_hectare(spacing_mm: float, row_spacing_mm: float) -> float:
    """Plants on a hectare at a given spacing in the row and between the rows.

    Formula: 10,000 m² / (spacing × row spacing), both in metres.
    Units: both spacings in mm; answer in plants per hectare, not rounded.
    Source: the same rule as plants_per_acre, with the hectare's 10,000 m².
    Raises: BadQuantity: when a spacing is not above 0.
    """
    _both_positive(spacing_mm, row_spacing_mm)
    return SQUARE_MM_PER_HECTARE / (spacing_mm * row_spacing_mm)


def mean_row_spacing_mm(rows: int, bed_spacing_mm: float) -> float:
    """Row spacing that counts for the population when several rows share a bed and its path.

    Formula: distance from bed centre to bed centre / rows on the bed.
    Units: bed spacing in mm; answer in mm.
    Source: common practice, no source; it follows from counting the land as full to the margin.
    Raises: BadQuantity: when there is no row, or the bed spacing is not above 0.
    """
    positive("rows", rows)
    positive("bed_spacing_mm", bed_spacing_mm)
    return bed_spacing_mm / rows


def row_mm_per_acre(row_spacing_mm: float) -> float:
    """Length of row on an acre.

    Formula: 43,560 ft² / row spacing in feet.
    Units: row spacing in mm; answer in mm of row.
    Source: definition of the acre, 43,560 square feet.
    Raises: BadQuantity: when the row spacing is not above 0.
    """
    positive("row_spacing_mm", row_spacing_mm)
    return SQUARE_MM_PER_ACRE / row_spacing_mm


def thousandth_acre_row_mm(row_spacing_mm: float) -> float:
    """Length of row to count in, so that the count × 1,000 is the plants per acre.

    Formula: 43.56 ft² / row spacing in feet; that is 522.72 / w feet with w in inches.
    Units: row spacing in mm; answer in mm of row.
    Source: University of Tennessee crops news, Checking corn populations (April 2011), seen at news.utcrops.com; its
        table rounds to the nearest inch.
    Raises: BadQuantity: when the row spacing is not above 0.
    """
    return row_mm_per_acre(row_spacing_mm) / 1000


def counted_per_acre(plants: float, length_mm: float, row_spacing_mm: float) -> float:
    """Plants per acre from a count along a measured length of row.

    Formula: plants × 43,560 / (length × row spacing), both in feet.
    Units: length and row spacing in mm; answer in plants per acre, not rounded.
    Source: University of Illinois Extension, Corn stand count, seen at extension.cropsciences.illinois.edu: measure how
        far 150 plants reach rather than count in a fixed length, which biases less.
    Raises: BadQuantity: when the count is below 0, or the length or the row spacing is not above 0.
    """
    not_negative("plants", plants)
    positive("length_mm", length_mm)
    return plants / length_mm * row_mm_per_acre(row_spacing_mm)


def counted_per_hectare(plants: float, length_mm: float, row_spacing_mm: float) -> float:
    """Plants per hectare from a count along a measured length of row.

    Formula: plants × 10,000 / (length × row spacing), both in metres.
    Units: length and row spacing in mm; answer in plants per hectare, not rounded.
    Source: the same rule as counted_per_acre, with the hectare's 10,000 m².
    Raises: BadQuantity: when the count is below 0, or the length or the row spacing is not above 0.
    """
    not_negative("plants", plants)
    positive("length_mm", length_mm)
    positive("row_spacing_mm", row_spacing_mm)
    return plants * SQUARE_MM_PER_HECTARE / (length_mm * row_spacing_mm)


def _both_positive(spacing_mm: float, row_spacing_mm: float) -> None:
    positive("spacing_mm", spacing_mm)
    positive("row_spacing_mm", row_spacing_mm)
