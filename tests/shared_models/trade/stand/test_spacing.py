from itertools import accumulate
from math import inf, nan, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.stand.spacing import evenness, gaps_between, missing_plants

set_spacings_mm = st.floats(20, 400)
gaps_mm = st.lists(st.floats(0, 2_000), min_size=1, max_size=60)


@given(gaps_mm, set_spacings_mm)
def test_every_gap_is_a_multiple_a_single_or_a_skip(gaps: list[float], set_mm: float) -> None:
    found = evenness(gaps, set_mm)

    assert found.multiples + found.singles + len(found.skips) == found.gaps == len(gaps)
    assert found.multiples_index + found.miss_index + found.quality_of_feed == pytest.approx(1)


@given(gaps_mm, set_spacings_mm)
def test_skips_hold_the_missing_plants_of_their_gaps(gaps: list[float], set_mm: float) -> None:
    found = evenness(gaps, set_mm)

    assert found.missing_plants == sum(missing_plants(gap, set_mm) for gap in gaps)
    assert all(missing >= 1 for missing in found.skips)


@given(st.lists(st.floats(0.51, 1.5), min_size=2, max_size=60), set_spacings_mm)
def test_spread_of_singles_never_passes_half_the_set_spacing(of_set: list[float], set_mm: float) -> None:
    """50 % for the population's standard deviation; the divisor n − 1 raises the bound by √(n/(n−1))."""
    precision = evenness([share * set_mm for share in of_set], set_mm).precision

    assert precision is not None
    n = len(of_set)
    assert precision * sqrt((n - 1) / n) <= 0.5
    assert precision <= 0.5 * sqrt(n / (n - 1))


@given(gaps_mm, set_spacings_mm)
def test_skips_and_multiples_do_not_touch_the_precision(gaps: list[float], set_mm: float) -> None:
    with_outliers = evenness([*gaps, 0.1 * set_mm, 7 * set_mm], set_mm)

    assert with_outliers.precision == evenness(gaps, set_mm).precision


@given(gaps_mm, set_spacings_mm, st.sampled_from([25.4, 10.0, 1 / 304.8]))
def test_any_unit_gives_the_same_indices(gaps: list[float], set_mm: float, factor: float) -> None:
    """Also when a gap lies on a boundary but for the last bit of the conversion."""
    found = evenness(gaps, set_mm)
    converted = evenness([gap * factor for gap in gaps], set_mm * factor)

    assert (converted.multiples, converted.singles, converted.skips) == (found.multiples, found.singles, found.skips)


@given(st.integers(0, 40), set_spacings_mm)
def test_a_gap_of_whole_spacings_misses_all_but_one(spacings: int, set_mm: float) -> None:
    assert missing_plants(spacings * set_mm, set_mm) == max(0, spacings - 1)
    assert missing_plants((spacings + 0.5) * set_mm, set_mm) == max(0, spacings - 1)
    assert missing_plants((spacings + 0.501) * set_mm, set_mm) == spacings


@given(st.floats(0, 5_000), st.floats(0, 5_000), set_spacings_mm)
def test_a_longer_gap_never_misses_fewer_plants(gap_a: float, gap_b: float, set_mm: float) -> None:
    shorter, longer = sorted((gap_a, gap_b))

    assert missing_plants(shorter, set_mm) <= missing_plants(longer, set_mm)


@given(gaps_mm)
def test_positions_give_back_their_gaps(gaps: list[float]) -> None:
    positions = list(accumulate(gaps, initial=0.0))

    assert gaps_between(positions) == pytest.approx(gaps, abs=1e-6)


def test_positions_and_gaps_tell_the_same() -> None:
    found = evenness(gaps_between([0, 50, 100, 200, 210]), 50)

    assert (found.multiples, found.singles, found.skips) == (1, 2, (1,))


@given(st.floats(0.51, 1.5), set_spacings_mm)
def test_equal_singles_have_no_spread(share: float, set_mm: float) -> None:
    found = evenness([share * set_mm] * 5, set_mm)

    assert found.precision == found.singles_cv == 0


def test_one_single_has_no_spread_to_tell() -> None:
    found = evenness([50, 10, 400], 50)

    assert found.precision is None
    assert found.singles_cv is None


def test_the_two_precisions_differ_when_the_singles_are_off_the_set_spacing() -> None:
    found = evenness([60, 70, 60, 70], 50)

    assert found.precision == pytest.approx(33.333333**0.5 / 50)
    assert found.singles_cv == pytest.approx(33.333333**0.5 / 65)


def test_a_sample_needs_two_plants() -> None:
    with pytest.raises(BadQuantity, match=r"^gaps_mm is 0"):
        evenness(gaps_between([120.0]), 50)


def test_a_tape_does_not_run_backwards() -> None:
    with pytest.raises(BadQuantity, match=r"^positions_mm is 40"):
        gaps_between([0, 50, 40])


@pytest.mark.parametrize("bad", [-1, nan, inf])
def test_impossible_gaps_and_positions_are_named(bad: float) -> None:
    with pytest.raises(BadQuantity, match=r"^gap_mm"):
        evenness([50, bad], 50)
    with pytest.raises(BadQuantity, match=r"^gap_mm"):
        missing_plants(bad, 50)
    with pytest.raises(BadQuantity, match=r"^positions_mm"):
        gaps_between([0, bad, 60])


@pytest.mark.parametrize("bad", [0, -50, nan, inf])
def test_an_impossible_set_spacing_is_named(bad: float) -> None:
    with pytest.raises(BadQuantity, match=r"^set_spacing_mm"):
        evenness([50], bad)
