import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.stats.logistic import fit_logistic, odds, wald_tests

DEPTHS = [20.0, 25.0, 30.0, 35.0, 40.0, 45.0]
MISSES = [4, 9, 7, 15, 14, 22]
PLACES = [200] * 6

counts = st.lists(st.tuples(st.integers(0, 40), st.integers(40, 60)), min_size=4, max_size=12)


def test_without_columns_the_fit_is_the_share_of_all() -> None:
    fit = fit_logistic([], MISSES, PLACES)

    assert fit.fitted == pytest.approx([71 / 1200] * 6)


def test_one_class_against_another_is_the_log_odds_ratio_of_the_table() -> None:
    fit = fit_logistic([[0, 1]], [10, 30], [100, 100])

    assert fit.coefficients[1] == pytest.approx(math.log((30 / 70) / (10 / 90)))
    assert fit.standard_errors[1] == pytest.approx(math.sqrt(1 / 10 + 1 / 90 + 1 / 30 + 1 / 70))
    assert fit.deviance == pytest.approx(0, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(counts)
def test_fitted_misses_add_up_to_the_misses(rows: list[tuple[int, int]]) -> None:
    hits, trials = [y for y, _ in rows], [n for _, n in rows]
    column = [float(i) for i in range(len(rows))]

    fit = fit_logistic([column], hits, trials)

    if not fit.separated:
        fitted = [n * p for n, p in zip(trials, fit.fitted, strict=True)]
        assert math.fsum(fitted) == pytest.approx(sum(hits), rel=1e-5, abs=1e-4)
        assert math.fsum(x * f for x, f in zip(column, fitted, strict=True)) == pytest.approx(
            math.fsum(x * y for x, y in zip(column, hits, strict=True)), rel=1e-5, abs=1e-3
        )
    assert fit.deviance <= fit_logistic([], hits, trials).deviance + 1e-6


@settings(max_examples=25, deadline=None)
@given(shift=st.floats(-1e4, 1e4), stretch=st.floats(0.01, 1e4))
def test_another_unit_of_a_column_changes_its_coefficient_and_nothing_else(shift: float, stretch: float) -> None:
    plain = fit_logistic([DEPTHS], MISSES, PLACES)

    other = fit_logistic([[shift + stretch * depth for depth in DEPTHS]], MISSES, PLACES)

    assert other.coefficients[1] * stretch == pytest.approx(plain.coefficients[1], rel=1e-5)
    assert other.standard_errors[1] * stretch == pytest.approx(plain.standard_errors[1], rel=1e-5)
    assert other.fitted == pytest.approx(plain.fitted, rel=1e-6)
    assert other.deviance == pytest.approx(plain.deviance, abs=1e-6)


def test_each_row_twice_is_twice_as_much_knowledge() -> None:
    once = fit_logistic([DEPTHS], MISSES, PLACES)
    twice = fit_logistic([DEPTHS * 2], MISSES * 2, PLACES * 2)

    assert twice.coefficients == pytest.approx(once.coefficients)
    assert twice.standard_errors == pytest.approx([error / math.sqrt(2) for error in once.standard_errors])


def test_counting_hits_or_the_rest_only_turns_the_sign() -> None:
    hits = fit_logistic([DEPTHS], MISSES, PLACES)
    rest = fit_logistic([DEPTHS], [n - y for y, n in zip(MISSES, PLACES, strict=True)], PLACES)

    assert rest.coefficients == pytest.approx([-b for b in hits.coefficients])


@pytest.mark.parametrize(
    ("column", "hits"),
    [
        ([0, 0, 1, 1], [0, 0, 3, 4]),
        ([0, 0, 1, 1], [50, 50, 3, 4]),
        ([1, 2, 3, 4], [0, 0, 50, 50]),
        ([1, 2, 3, 4], [0, 0, 0, 0]),
    ],
)
def test_a_group_without_a_single_miss_or_plant_is_reported_as_separated(column: list[float], hits: list[int]) -> None:
    assert fit_logistic([column], hits, [50] * 4).separated


def test_a_rare_miss_is_not_separation() -> None:
    assert not fit_logistic([[0, 1]], [1, 30], [5000, 5000]).separated


def test_dispersion_widens_every_standard_error_by_its_root() -> None:
    fit = fit_logistic([DEPTHS], MISSES, PLACES)

    plain, wide = wald_tests(fit), wald_tests(fit, 4.0)

    assert [w.standard_error for w in wide] == pytest.approx([2 * p.standard_error for p in plain])
    assert all(w.p_value > p.p_value for w, p in zip(wide, plain, strict=True))


def test_fewer_spare_plantings_make_less_sure_than_many_spare_rows() -> None:
    fit = fit_logistic([DEPTHS], MISSES, PLACES)

    assert wald_tests(fit, 1.0, df=2)[1].p_value > wald_tests(fit, 1.0)[1].p_value


def test_as_many_columns_as_rows_leave_no_dispersion() -> None:
    fit = fit_logistic([[0, 1]], [10, 30], [100, 100])

    assert fit.dispersion is None
    with pytest.raises(BadQuantity):
        wald_tests(fit, 1.0)


@pytest.mark.parametrize(
    ("columns", "hits", "trials"),
    [
        ([], [], []),
        ([[1, 2]], [1, 2], [10]),
        ([[1]], [1, 2], [10, 10]),
        ([[1, 2]], [11, 2], [10, 10]),
        ([[1, 2]], [-1, 2], [10, 10]),
        ([[1, 2]], [0, 0], [0, 10]),
        ([[1, math.nan]], [1, 2], [10, 10]),
        ([[1, 1]], [1, 2], [10, 10]),
        ([[1, 2, 3], [2, 4, 6]], [1, 2, 3], [10, 10, 10]),
        ([[1, 2], [2, 1]], [1, 2], [10, 10]),
    ],
)
def test_data_that_cannot_be_fitted_are_refused(
    columns: list[list[float]], hits: list[float], trials: list[float]
) -> None:
    with pytest.raises(BadQuantity):
        fit_logistic(columns, hits, trials)


def test_a_dispersion_of_nothing_is_refused() -> None:
    with pytest.raises(BadQuantity):
        wald_tests(fit_logistic([DEPTHS], MISSES, PLACES), 0)


@pytest.mark.parametrize(("log_odds", "result"), [(0, 1), (math.log(3), 3), (-math.log(3), 1 / 3)])
def test_odds_are_the_power_of_e(log_odds: float, result: float) -> None:
    assert odds(log_odds) == pytest.approx(result)


def test_odds_are_never_endless_and_never_nothing() -> None:
    assert odds(1e9) < math.inf
    assert odds(-1e9) > 0
    assert odds(1e9) * odds(-1e9) == pytest.approx(1)
