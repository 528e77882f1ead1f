"""Finish times and forecasts."""

import math

import pytest
from scipy import stats

from shared_models.trade.pace.finish import Estimate, in_sequence, three_point, time_left
from shared_models.trade.stats.student_t import t_quantile, t_tail, t_two_sided, z_two_sided
from shared_models.trade.stats.trend import fit_line, forecast
from tests.published.conftest import Check

PERT = "PERT three-point estimate (as quoted in generic pages)"
THEORY = "k m ± t s sqrt(k + k²/n), standard theory; computed with scipy 1.17"
NORRIS = "NIST StRD Norris, certified values (as quoted in scipy/stats/tests/test_stats.py)"
STATSMODELS = "NIST StRD Norris data; computed with statsmodels 0.15"
SCIPY_T = "computed with scipy 1.17 (stats.t.ppf)"
SCIPY_TAIL = "computed with scipy 1.17 (stats.t.sf)"

PAST = [41, 44, 39, 47, 43, 45, 40, 46]

NORRIS_X = [
    *[0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4],
    *[0.6, 775.5, 666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3],
    *[0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5],
]
NORRIS_Y = [
    *[0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3],
    *[0.1, 778.1, 668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3],
    *[0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2],
]


@pytest.mark.parametrize(
    ("rows_left", "expected", "margin"), [(1, 43.125, 7.274), (5, 215.625, 19.547), (10, 431.25, 32.529)]
)
def test_rows_left(published: Check, rows_left: int, expected: float, margin: float) -> None:
    left = time_left(PAST, rows_left)
    assert left is not None
    assert left.low_s is not None
    assert left.high_s is not None

    published(THEORY, f"{rows_left} further after 8: expected", left.expected_s, expected, 5e-7)
    published(THEORY, f"{rows_left} further after 8: upper margin", left.high_s - left.expected_s, margin, 5e-4)
    published(THEORY, f"{rows_left} further after 8: lower margin", left.expected_s - left.low_s, margin, 5e-4)


@pytest.mark.parametrize(("guesses", "expected", "sd"), [((4, 6, 12), 6.667, 1.333), ((5, 8, 14), 8.5, 1.5)])
def test_three_guesses(published: Check, guesses: tuple[float, float, float], expected: float, sd: float) -> None:
    estimate = three_point(*guesses)

    published(PERT, f"{guesses}: expected", estimate.expected_s, expected, 5e-4)
    published(PERT, f"{guesses}: standard deviation", estimate.sd_s, sd, 5e-4)


def test_a_chain_of_guesses(published: Check) -> None:
    """Printed as 3.17 + 8.5 + 4.17 + 2 = 17.83, so from unrounded sixths."""
    chain = in_sequence([Estimate(19 / 6, 0.5), Estimate(8.5, 1.5), Estimate(25 / 6, 0.5), Estimate(2.0, 2 / 6)])

    published(PERT, "chain of four: expected", chain.expected_s, 17.83, 0.005)
    published(PERT, "chain of four: standard deviation", chain.sd_s, 1.69, 0.005)


def test_norris_line(published: Check) -> None:
    line = fit_line(NORRIS_X, NORRIS_Y)
    assert line.intercept_se is not None
    assert line.slope_se is not None
    assert line.r_squared is not None
    assert line.residual_sd is not None

    published(NORRIS, "B0", line.intercept, -0.262323073774029, 1e-12)
    published(NORRIS, "B1", line.slope, 1.00211681802045, 1e-13)
    published(NORRIS, "standard error of B0", line.intercept_se, 0.232818234301152, 1e-12)
    published(NORRIS, "standard error of B1", line.slope_se, 0.429796848199937e-3, 1e-15)
    published(NORRIS, "R squared", line.r_squared, 0.999993745883712, 1e-14)
    published(NORRIS, "residual standard deviation", line.residual_sd, 0.884796396144373, 1e-12)


def test_norris_forecast(published: Check) -> None:
    result = forecast(fit_line(NORRIS_X, NORRIS_Y), 500.0)
    assert result.mean_margin is not None
    assert result.single_margin is not None

    published(STATSMODELS, "x = 500: expected", result.expected, 500.796086, 5e-7)
    published(STATSMODELS, "x = 500: one value, lower", result.expected - result.single_margin, 498.971794, 1e-6)
    published(STATSMODELS, "x = 500: one value, upper", result.expected + result.single_margin, 502.620378, 1e-6)
    published(STATSMODELS, "x = 500: line, lower", result.expected - result.mean_margin, 500.488196, 1e-6)
    published(STATSMODELS, "x = 500: line, upper", result.expected + result.mean_margin, 501.103975, 1e-6)


@pytest.mark.parametrize("share", [1e-9, 0.025, 0.5, 0.9, 0.975, 0.9995])
@pytest.mark.parametrize("df", [0.5, 1, 2, 7, 30, 1000, 99_999, 1e7])
def test_student_t(published: Check, share: float, df: float) -> None:
    expected = float(stats.t.ppf(share, df))
    published(SCIPY_T, f"t at {share:g} with {df:g} df", t_quantile(share, df), expected, 1e-7 * max(1, abs(expected)))


@pytest.mark.parametrize("t", [-40.0, -1.5, 0.0, 0.3, 2.0, 12.0])
@pytest.mark.parametrize("df", [0.5, 3, 30, 5000])
def test_student_t_tails(published: Check, t: float, df: float) -> None:
    published(SCIPY_TAIL, f"share above {t:g} with {df:g} df", t_tail(t, df), float(stats.t.sf(t, df)), 1e-10)


def test_student_t_in_closed_form(published: Check) -> None:
    source = "closed forms: tan(pi a / 2) for 1 degree of freedom, a sqrt(2 / (1 - a²)) for 2 (from memory)"
    published(source, "95 % both ways, 1 df", t_two_sided(0.95, 1), math.tan(0.475 * math.pi), 1e-9)
    published(source, "95 % both ways, 2 df", t_two_sided(0.95, 2), 0.95 * math.sqrt(2 / (1 - 0.95**2)), 1e-9)


def test_normal_quantile(published: Check) -> None:
    published("computed with scipy 1.17 (stats.norm.ppf)", "95 % both ways", z_two_sided(0.95), 1.959964, 5e-7)
