"""How many plants and trays does a bed take, and where does each chain end?

A tray unfolds into one chain. Chains are pulled whole, one after another: where a row ends the chain is cut, and its
rest goes on at the start of the next row. Only the last chain leaves a rest.

Fence posts: N cells cover N spacings, not N - 1. A plant owns the ground half a spacing before and behind it, so the
row is full to the margin and chains laid end to end keep the spacing across the joint.
"""

import math
from dataclasses import dataclass

from shared_models.trade.validation import positive, whole

#: Cells of the common tray, at any spacing. Common practice, no source.
CELLS_PER_TRAY = 264
#: Half a millimetre and a hair. Row lengths are stored in whole millimeters: 44 ft is kept as 13,411 mm, 0.2 mm short,
#: and must still hold 264 plants at 2 in.
ROUNDING_MM = 0.501


@dataclass(frozen=True, slots=True)
class ChainEnd:
    """Where a chain runs out: have the next tray ready there.

    Chains and rows count from 1; `along_mm` is the distance from the end at which this row was started.
    """

    chain: int
    row: int
    along_mm: float


@dataclass(frozen=True, slots=True)
class ChainPlan:
    """A bed's plants and chains, with one end for each chain; the last chain ends where the bed does.

    `left_cells` and `left_mm` are the rest of the last chain, as cells and as row that it would still plant.
    """

    plants: int
    trays: int
    ends: tuple[ChainEnd, ...]
    left_cells: int
    left_mm: float


def chain_mm(spacing_mm: float, cells_per_tray: int = CELLS_PER_TRAY) -> float:
    """Length of row that one tray plants.

    Formula: cells × spacing; N cells cover N spacings (full to the margin).
    Units: spacing in mm; answer in mm of row.
    Source: common practice, no source: 264 cells at 2, 4 or 6 in make 44, 88 or 132 ft.
    Raises: BadQuantity: when the spacing is not above 0, or the cells are not a whole number of at least 1.
    """
    positive("spacing_mm", spacing_mm)
    whole("cells_per_tray", cells_per_tray, 1)
    return cells_per_tray * spacing_mm


def plants_in_row(row_mm: float, spacing_mm: float) -> int:
    """Whole plants that fit in one row.

    Formula: row length / spacing, cut to whole plants; N plants need N spacings (full to the margin). Half a millimetre
        is forgiven, because lengths are kept in whole millimeters.
    Units: row length and spacing in mm; answer in plants.
    Source: the rule full to the margin of L. H. Bailey, Farm and Garden Rule-Book (Macmillan, 1911), as transcribed at
        chestofbooks.com, applied to a single row.
    Raises: BadQuantity: when the row length or the spacing is not above 0.
    """
    positive("row_mm", row_mm)
    positive("spacing_mm", spacing_mm)
    return math.floor((row_mm + ROUNDING_MM) / spacing_mm)


def plants_in_bed(rows: int, row_mm: float, spacing_mm: float) -> int:
    """Whole plants that fit in a bed of equal rows.

    Formula: rows × whole plants of one row.
    Units: row length and spacing in mm; answer in plants.
    Source: as plants_in_row.
    Raises: BadQuantity: when there is not a whole number of rows, or a length is not above 0.
    """
    whole("rows", rows, 1)
    return rows * plants_in_row(row_mm, spacing_mm)


def trays_for(plants: int, cells_per_tray: int = CELLS_PER_TRAY) -> int:
    """Whole trays that hold so many plants.

    Formula: plants / cells of a tray, raised to the next whole tray.
    Units: plants and cells; answer in trays.
    Source: common practice, no source: a tray holds 264 cells, and a tray begun is a tray used.
    Raises: BadQuantity: when the plants are not a whole number of 0 or more, or the cells not one of at least 1.
    """
    whole("cells_per_tray", cells_per_tray, 1)
    whole("plants", plants)
    return -(-plants // cells_per_tray)


def lay_chains(rows: int, row_mm: float, spacing_mm: float, cells_per_tray: int = CELLS_PER_TRAY) -> ChainPlan:
    """Lay whole chains one after another down the rows of a bed, and tell where each ends and what is left.

    Formula: chain k ends after k × cells plants; with n plants in a row that is row ceil(k × cells / n), and the plants
        set in that row × spacing along it. Left over: trays × cells − plants of the bed. A row is planted with whole
        cells only. A chain that fits the row exactly ends at the end of that row, not at the start of the next.
    Units: row length and spacing in mm; distances along the row in mm.
    Source: common practice, no source: chains are pulled whole, cut at the row's end and gone on with in the next row.
    Raises: BadQuantity: when rows or cells are not whole numbers of at least 1, or a length is not above 0.
    """
    plants_each = plants_in_row(row_mm, spacing_mm)
    plants = plants_in_bed(rows, row_mm, spacing_mm)
    trays = trays_for(plants, cells_per_tray)
    left = trays * cells_per_tray - plants
    ends = tuple(
        _end_of(chain, min(chain * cells_per_tray, plants), plants_each, spacing_mm) for chain in range(1, trays + 1)
    )
    return ChainPlan(plants=plants, trays=trays, ends=ends, left_cells=left, left_mm=left * spacing_mm)


def _end_of(chain: int, plants_set: int, plants_each: int, spacing_mm: float) -> ChainEnd:
    rows_full, into_last = divmod(plants_set - 1, plants_each)
    return ChainEnd(chain=chain, row=rows_full + 1, along_mm=(into_last + 1) * spacing_mm)
