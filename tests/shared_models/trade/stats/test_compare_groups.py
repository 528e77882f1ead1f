import math
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.stats.compare_groups import Group, Stratified, Stratum, compare_within_strata

groups = st.builds(lambda misses, plants: Group(misses, misses + plants), st.integers(1, 60), st.integers(1, 400))
strata = st.lists(st.builds(Stratum, groups, groups), min_size=1, max_size=5)


@given(st.builds(Stratum, groups, groups))
def test_one_stratum_is_the_plain_odds_ratio(stratum: Stratum) -> None:
    tried, usual = stratum.tried, stratum.usual

    got = compare_within_strata([stratum])

    odds = [group.misses / (group.positions - group.misses) for group in (tried, usual)]
    assert got.odds_ratio == pytest.approx(odds[0] / odds[1])


@given(strata)
def test_swapping_the_groups_turns_the_odds_ratio_over(pairs: Sequence[Stratum]) -> None:
    there, back = compare_within_strata(pairs), compare_within_strata([Stratum(s.usual, s.tried) for s in pairs])

    assert there.odds_ratio is not None
    assert back.odds_ratio == pytest.approx(1 / there.odds_ratio)
    assert there.high is not None
    assert back.low == pytest.approx(1 / there.high)
    assert back.p_value == pytest.approx(there.p_value)


@given(strata)
def test_the_odds_ratio_lies_between_those_of_the_strata(pairs: Sequence[Stratum]) -> None:
    each = [compare_within_strata([stratum]).odds_ratio or 0 for stratum in pairs]

    together = compare_within_strata(pairs).odds_ratio

    assert together is not None
    assert min(each) * (1 - 1e-9) <= together <= max(each) * (1 + 1e-9)


def test_a_bad_bed_blames_no_setting() -> None:
    """The tried setting was used mostly in the bad bed; within each bed both do the same."""
    good = Stratum(tried=Group(1, 100), usual=Group(9, 900))
    bad = Stratum(tried=Group(180, 900), usual=Group(20, 100))

    got = compare_within_strata([good, bad])

    assert got.odds_ratio == pytest.approx(1)
    assert got.p_value == pytest.approx(1)


@given(strata, st.floats(1, 10))
def test_scatter_between_rows_makes_less_sure(pairs: Sequence[Stratum], dispersion: float) -> None:
    plain, wide = compare_within_strata(pairs), compare_within_strata(pairs, dispersion)

    assert plain.chi_square is not None
    assert wide.chi_square == pytest.approx(plain.chi_square / dispersion)
    assert wide.odds_ratio == plain.odds_ratio
    assert wide.low is not None
    assert plain.low is not None
    assert wide.low <= plain.low * (1 + 1e-9)


@pytest.mark.parametrize(
    "pairs",
    [
        [],
        [Stratum(Group(0, 0), Group(5, 50))],
        [Stratum(Group(0, 50), Group(0, 50))],
        [Stratum(Group(50, 50), Group(50, 50))],
    ],
)
def test_strata_that_cannot_tell_say_nothing(pairs: list[Stratum]) -> None:
    assert compare_within_strata(pairs) == Stratified(None, None, None, None, None)


def test_a_group_without_misses_has_a_test_but_no_odds_ratio() -> None:
    got = compare_within_strata([Stratum(Group(0, 50), Group(5, 50))])

    assert got.odds_ratio is None
    assert got.p_value is not None
    assert got.p_value < 0.05


def test_the_continuity_correction_never_turns_agreement_into_difference() -> None:
    assert compare_within_strata([Stratum(Group(5, 50), Group(5, 50))], continuity=True).chi_square == 0


@pytest.mark.parametrize(("misses", "positions"), [(2, 1), (-1, 5), (0, -1), (math.nan, 5), (1, math.inf)])
def test_more_misses_than_positions_are_refused(misses: float, positions: float) -> None:
    with pytest.raises(BadQuantity):
        Group(misses, positions)


@pytest.mark.parametrize("dispersion", [0.5, 0, -1, math.nan])
def test_less_scatter_than_chance_is_refused(dispersion: float) -> None:
    with pytest.raises(BadQuantity):
        compare_within_strata([], dispersion)


def test_rows_that_scatter_without_end_leave_the_odds_open_and_break_nothing() -> None:
    got = compare_within_strata([Stratum(Group(5, 100), Group(9, 100))], dispersion=1e9)

    assert got.low is not None
    assert got.high is not None
    assert 0 < got.low < 1e-300
    assert 1e300 < got.high < math.inf
