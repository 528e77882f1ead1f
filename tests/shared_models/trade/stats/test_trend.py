import math
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from statsmodels.api import OLS, add_constant

from shared_models.errors import BadQuantity
from shared_models.trade.stats.trend import Forecast, fit_line, forecast

coefficients = st.floats(-100, 100)


@given(coefficients, coefficients, st.lists(st.integers(-50, 50), min_size=3, max_size=20, unique=True))
def test_points_on_a_line_give_the_line_back(intercept: float, slope: float, x: list[int]) -> None:
    line = fit_line(x, [intercept + slope * each for each in x])

    assert line.intercept == pytest.approx(intercept, abs=1e-8)
    assert line.slope == pytest.approx(slope, abs=1e-8)
    assert line.residual_sd == pytest.approx(0.0, abs=1e-8)
    assert forecast(line, 7.0).expected == pytest.approx(intercept + slope * 7.0, abs=1e-7)


@settings(deadline=timedelta(seconds=2))
@given(
    st.lists(st.tuples(st.integers(-50, 50), st.integers(-50, 50)), min_size=4, max_size=20, unique_by=lambda p: p[0])
)
def test_lines_and_forecasts_agree_with_statsmodels(points: list[tuple[int, int]]) -> None:
    x, y = zip(*points, strict=True)
    reference = OLS(y, add_constant(x)).fit()
    table = reference.get_prediction([[1.0, 3.0]]).summary_frame(alpha=0.05).iloc[0]

    line = fit_line(x, y)
    result = forecast(line, 3.0)

    assert (line.intercept, line.slope) == pytest.approx(tuple(reference.params), abs=1e-8)
    assert (line.intercept_se, line.slope_se) == pytest.approx(tuple(reference.bse), abs=1e-8)
    assert result.expected == pytest.approx(table["mean"], abs=1e-8)
    assert result.mean_margin == pytest.approx(table["mean_ci_upper"] - table["mean"], abs=1e-6)
    assert result.single_margin == pytest.approx(table["obs_ci_upper"] - table["mean"], abs=1e-6)


def test_two_points_give_a_line_without_margins() -> None:
    line = fit_line([1, 3], [10, 14])

    assert (line.intercept, line.slope) == (8.0, 2.0)
    assert line.residual_sd is line.slope_se is line.intercept_se is None
    assert forecast(line, 5.0) == Forecast(18.0, None, None)


def test_a_flat_line_explains_nothing() -> None:
    line = fit_line([1, 2, 3], [5, 5, 5])

    assert (line.slope, line.r_squared) == (0.0, None)


def test_a_forecast_is_least_sure_far_from_what_was_seen() -> None:
    line = fit_line([1, 2, 3, 4], [10, 12, 11, 15])
    near, far = forecast(line, 2.5), forecast(line, 10.0)

    assert near.mean_margin is not None
    assert near.single_margin is not None
    assert far.single_margin is not None
    assert near.mean_margin < near.single_margin < far.single_margin


@pytest.mark.parametrize(
    ("field", "x", "y"),
    [
        ("y", [1, 2], [1]),
        ("x", [1, 1], [1, 2]),
        ("x", [], []),
        ("x", [1, math.nan], [1, 2]),
        ("y", [1, 2], [1, math.inf]),
    ],
)
def test_points_that_make_no_line_are_refused(field: str, x: list[float], y: list[float]) -> None:
    with pytest.raises(BadQuantity) as refused:
        fit_line(x, y)

    assert refused.value.field == field


def test_a_forecast_of_nowhere_is_refused() -> None:
    with pytest.raises(BadQuantity, match="x is nan"):
        forecast(fit_line([1, 2, 3], [1, 2, 4]), math.nan)


@pytest.mark.parametrize("confidence", [0, 1, 1.5, math.nan])
def test_a_confidence_that_cannot_be_is_refused_even_where_no_margin_is_reported(confidence: float) -> None:
    with pytest.raises(BadQuantity):
        forecast(fit_line([1, 2], [1, 2]), 3, confidence)
