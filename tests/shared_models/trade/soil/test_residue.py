import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.soil.residue import Transect, residue_cover

tapes = st.integers(1, 200).flatmap(lambda marks: st.builds(Transect, st.integers(0, marks), st.just(marks)))


@given(st.lists(tapes, min_size=1, max_size=6))
def test_cover_lies_between_the_tapes_and_inside_its_range(transects: list[Transect]) -> None:
    covers = [residue_cover([tape]).percent for tape in transects]

    cover = residue_cover(transects)

    assert min(covers) - 1e-9 <= cover.percent <= max(covers) + 1e-9
    assert -1e-9 <= cover.low_percent <= cover.percent + 1e-9
    assert cover.percent - 1e-9 <= cover.high_percent <= 100 + 1e-9


def test_tapes_are_averaged_with_equal_weight() -> None:
    cover = residue_cover([Transect(10, 100), Transect(20, 50), Transect(30, 100)])

    assert cover.percent == pytest.approx(80 / 3)
    assert cover.transects == 3


@given(tapes)
def test_more_tapes_of_the_same_kind_narrow_the_range(tape: Transect) -> None:
    one, three = residue_cover([tape]), residue_cover([tape] * 3)

    assert three.high_percent - three.low_percent < one.high_percent - one.low_percent


@pytest.mark.parametrize(("hits", "marks"), [(3, 2), (-1, 10), (0, 0)])
def test_an_impossible_tape_is_refused(hits: int, marks: int) -> None:
    with pytest.raises(BadQuantity):
        Transect(hits, marks)


def test_no_tape_gives_no_cover() -> None:
    with pytest.raises(BadQuantity):
        residue_cover([])
