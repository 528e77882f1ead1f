from itertools import pairwise
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.units import feet_to_mm, inches_to_mm
from shared_models.errors import BadQuantity
from shared_models.trade.chain import (
    CELLS_PER_TRAY,
    ChainEnd,
    chain_mm,
    lay_chains,
    plants_in_bed,
    plants_in_row,
    trays_for,
)

rows = st.integers(1, 12)
rows_mm = st.floats(1_000, 100_000)
spacings_mm = st.floats(20, 400)
trays_of = st.integers(1, 500)


def test_cells_cover_as_many_spacings_as_there_are_cells() -> None:
    """264 plants span 263 gaps between fence posts, but 264 spacings of ground."""
    spacing_mm = inches_to_mm(2)

    assert chain_mm(spacing_mm) == pytest.approx(feet_to_mm(44))
    assert plants_in_row(264 * spacing_mm, spacing_mm) == 264
    assert plants_in_row(263 * spacing_mm, spacing_mm) == 263


@given(st.integers(1, 2_000), st.floats(5, 1_000))
def test_a_row_kept_in_whole_millimeters_still_holds_its_plants(plants: int, spacing_mm: float) -> None:
    assert plants_in_row(round(plants * spacing_mm), spacing_mm) == plants


def test_part_of_a_spacing_holds_no_plant() -> None:
    assert plants_in_row(199, 100) == 1
    assert plants_in_row(99, 100) == 0


@pytest.mark.parametrize(("spacing_in", "plants"), [(2, 3_000), (4, 1_500), (6, 1_000), (7, 855)])
def test_five_rows_of_100_feet(spacing_in: float, plants: int) -> None:
    assert plants_in_bed(5, feet_to_mm(100), inches_to_mm(spacing_in)) == plants


def test_a_tray_begun_is_a_tray_used() -> None:
    assert [trays_for(plants) for plants in (0, 1, 264, 265, 528)] == [0, 1, 1, 2, 2]
    assert trays_for(265, cells_per_tray=128) == 3


def test_chains_go_on_from_row_to_row() -> None:
    """Two rows of 100 ft at 6 in hold 400 plants; a chain covers 132 ft, so it ends 32 ft into row 2."""
    plan = lay_chains(rows=2, row_mm=feet_to_mm(100), spacing_mm=inches_to_mm(6))

    assert (plan.plants, plan.trays, plan.left_cells) == (400, 2, 128)
    assert plan.left_mm == pytest.approx(feet_to_mm(64))
    assert [(end.chain, end.row) for end in plan.ends] == [(1, 2), (2, 2)]
    assert [end.along_mm for end in plan.ends] == pytest.approx([feet_to_mm(32), feet_to_mm(100)])


def test_several_chains_in_one_row() -> None:
    """At 2 in a chain covers 44 ft: ends at 44 and 88 ft of row 1, then 32 ft into row 2."""
    plan = lay_chains(rows=2, row_mm=feet_to_mm(100), spacing_mm=inches_to_mm(2))

    assert [(end.row, round(end.along_mm / 304.8, 6)) for end in plan.ends] == [
        (1, 44),
        (1, 88),
        (2, 32),
        (2, 76),
        (2, 100),
    ]
    assert plan.left_cells == 5 * CELLS_PER_TRAY - 1_200


def test_a_chain_that_fits_the_row_ends_with_that_row() -> None:
    plan = lay_chains(rows=2, row_mm=10_000, spacing_mm=100, cells_per_tray=100)

    assert plan.ends == (ChainEnd(1, 1, 10_000), ChainEnd(2, 2, 10_000))
    assert plan.left_cells == 0


def test_a_chain_longer_than_several_rows() -> None:
    plan = lay_chains(rows=5, row_mm=1_000, spacing_mm=100, cells_per_tray=25)

    assert plan.ends == (ChainEnd(1, 3, 500), ChainEnd(2, 5, 1_000))


def test_a_row_shorter_than_a_spacing_needs_no_tray() -> None:
    plan = lay_chains(rows=3, row_mm=90, spacing_mm=100)

    assert (plan.plants, plan.trays, plan.ends, plan.left_cells) == (0, 0, (), 0)


@given(rows, rows_mm, spacings_mm, trays_of)
def test_cells_of_all_trays_are_planted_or_left(rows: int, row_mm: float, spacing_mm: float, cells: int) -> None:
    plan = lay_chains(rows, row_mm, spacing_mm, cells)

    assert plan.trays * cells == plan.plants + plan.left_cells
    assert 0 <= plan.left_cells < cells
    assert plan.left_mm == plan.left_cells * spacing_mm
    assert len(plan.ends) == plan.trays


@given(rows, rows_mm, spacings_mm, trays_of)
def test_ends_walk_through_the_bed_a_chain_at_a_time(rows: int, row_mm: float, spacing_mm: float, cells: int) -> None:
    """Between two ends lie exactly the cells of one chain; the last end is the end of the bed."""
    each = plants_in_row(row_mm, spacing_mm)

    plan = lay_chains(rows, row_mm, spacing_mm, cells)
    planted = [(end.row - 1) * each + round(end.along_mm / spacing_mm) for end in plan.ends]

    assert all(0 < end.along_mm <= row_mm + 0.502 for end in plan.ends)
    assert all(after - before == cells for before, after in pairwise(planted[:-1]))
    assert (plan.ends[-1].row, planted[-1]) == (rows, plan.plants)


@given(rows, rows_mm, spacings_mm)
def test_longer_beds_and_closer_plants_never_need_fewer_trays(rows: int, row_mm: float, spacing_mm: float) -> None:
    trays = lay_chains(rows, row_mm, spacing_mm).trays

    assert lay_chains(rows + 1, row_mm, spacing_mm).trays >= trays
    assert lay_chains(rows, row_mm * 1.1, spacing_mm).trays >= trays
    assert lay_chains(rows, row_mm, spacing_mm / 1.1).trays >= trays


@pytest.mark.parametrize("bad", [0, -1, nan, inf])
def test_lengths_that_cannot_be_are_named(bad: float) -> None:
    with pytest.raises(BadQuantity, match=r"^row_mm"):
        lay_chains(2, bad, 100)
    with pytest.raises(BadQuantity, match=r"^spacing_mm"):
        lay_chains(2, 1_000, bad)
    with pytest.raises(BadQuantity, match=r"^spacing_mm"):
        chain_mm(bad)


@pytest.mark.parametrize("bad", [0, -1, 1.5, nan])
def test_rows_and_cells_are_whole_numbers(bad: float) -> None:
    count: int = bad  # type: ignore[assignment]  # a wrong number from a form

    with pytest.raises(BadQuantity, match=r"^rows"):
        lay_chains(count, 1_000, 100)
    with pytest.raises(BadQuantity, match=r"^cells_per_tray"):
        lay_chains(2, 1_000, 100, count)
    with pytest.raises(BadQuantity, match=r"^cells_per_tray"):
        chain_mm(100, count)


def test_plants_below_zero_need_no_tray_but_a_correction() -> None:
    with pytest.raises(BadQuantity, match=r"^plants"):
        trays_for(-1)
