import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.misses.factors import Factor, RowFacts, columns_of
from shared_models.trade.misses.model import fit_misses, holm
from tests.shared_models.trade.weather.season import season


def test_what_varies_between_plantings_is_judged_by_the_scatter_between_them() -> None:
    """Where plantings differ for reasons nobody wrote down, ten rows of one teach little more than one."""
    rows = season(12, rows_each=8, planting_scatter=0.5)
    depth = columns_of(Factor.DEPTH, [row.depth_mm for row in rows])
    age = columns_of(Factor.PLANT_AGE, [row.plant_age_days for row in rows])

    model = fit_misses(depth + age, rows)

    assert model.row_dispersion is not None
    assert model.planting_dispersion is not None
    assert model.planting_dispersion > 2 * model.row_dispersion > 2


def test_rows_that_scatter_by_chance_alone_have_a_dispersion_near_one() -> None:
    rows = season(40, rows_each=5)

    model = fit_misses(columns_of(Factor.DEPTH, [row.depth_mm for row in rows]), rows)

    assert model.row_dispersion == pytest.approx(1, abs=0.2)
    assert model.planting_dispersion == pytest.approx(1, abs=0.4)


def test_chance_alone_seldom_makes_a_planting_factor_look_real() -> None:
    """With the scatter of rows instead of plantings, p would be below 0.05 in about half of these seasons."""
    alarms = 0
    for seed in range(120):
        rows = season(10, rows_each=8, seed=seed, planting_scatter=0.5)
        (judged,) = fit_misses(columns_of(Factor.PLANT_AGE, [row.plant_age_days for row in rows]), rows).judged
        alarms += judged.p_value < 0.05

    assert alarms <= 12


def test_a_factor_that_splits_rows_into_all_or_none_is_taken_out_and_the_rest_fitted() -> None:
    rows = [
        RowFacts(0 if crew == "B" else 5 + i % 3, 200, depth_mm=25 + 5 * (i % 4), crew=crew)
        for i, crew in enumerate("AABB" * 6)
    ]
    columns = columns_of(Factor.DEPTH, [row.depth_mm for row in rows])
    columns += columns_of(Factor.CREW, [row.crew for row in rows])

    model = fit_misses(columns, rows)

    assert model.split == (Factor.CREW,)
    assert [judged.column.factor for judged in model.judged] == [Factor.DEPTH]


def test_without_columns_nothing_is_judged() -> None:
    model = fit_misses([], season(3))

    assert (model.judged, model.split, model.row_dispersion, model.planting_dispersion) == ((), (), None, None)


def test_a_planting_factor_without_spare_plantings_is_refused() -> None:
    rows = season(2, rows_each=10)

    with pytest.raises(BadQuantity):
        fit_misses(columns_of(Factor.PLANT_AGE, [row.plant_age_days for row in rows]), rows)


def test_holm_multiplies_the_smallest_most() -> None:
    assert holm([0.01, 0.04, 0.03]) == pytest.approx([0.03, 0.06, 0.06])
    assert holm([]) == []


@pytest.mark.parametrize("bad", [-0.1, 1.1, math.nan])
def test_what_is_no_chance_is_refused(bad: float) -> None:
    with pytest.raises(BadQuantity, match="p_values"):
        holm([0.5, bad])


@given(st.lists(st.floats(0, 1), max_size=8))
def test_adjusted_p_values_keep_their_order_and_never_fall_below_the_plain_ones(p_values: list[float]) -> None:
    adjusted = holm(p_values)

    assert all(plain <= new <= 1 for plain, new in zip(p_values, adjusted, strict=True))
    ranked = [new for _, new in sorted(zip(p_values, adjusted, strict=True))]
    assert ranked == sorted(ranked)
    assert all(math.isfinite(new) for new in adjusted)
