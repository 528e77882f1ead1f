"""Regression and comparison of counts out of totals."""

import math

import pytest

from shared_models.trade.misses.effects import analyze_misses
from shared_models.trade.misses.factors import STEPS, Factor, RowFacts, columns_of
from shared_models.trade.misses.model import fit_misses, holm
from shared_models.trade.stats.compare_groups import Group, Stratum, compare_within_strata
from shared_models.trade.stats.logistic import fit_logistic, wald_tests
from tests.published.conftest import Check

BLISS = "Bliss (1935) beetles, R output as quoted from Dobson, Introduction to Generalized Linear Models"
CROWDER_DATA = "Crowder (1978), Applied Statistics 27:34-37 (data as quoted in the R package agridat)"
CROWDER = CROWDER_DATA + ", computed with statsmodels 0.15"
AGRESTI_COMPUTED = "Agresti, infant malformation and drinking, computed with statsmodels 0.15"
MADE_UP = "Made-up rows of 200 plants, computed with statsmodels 0.15 (GLM, Pearson scale)"
BERKELEY = "Berkeley admissions of 1973 by department (data from memory), computed with statsmodels 0.15"

DOSE = [1.6907, 1.7242, 1.7552, 1.7842, 1.8113, 1.8369, 1.8610, 1.8839]
BEETLES = [59, 60, 62, 56, 63, 59, 62, 60]
KILLED = [6, 13, 18, 28, 52, 53, 61, 60]

DEPTHS = [20.0, 25, 30, 35, 40, 45, 22, 27, 33, 38, 43, 48, 24, 36]
SCATTERED = [14, 3, 3, 19, 9, 25, 2, 6, 18, 4, 26, 14, 5, 20]
BY_CHANCE = [4, 7, 6, 9, 12, 15, 4, 6, 8, 10, 14, 17, 5, 10]

GERMINATED = [10, 23, 23, 26, 17, 8, 10, 8, 23, 0, 5, 53, 55, 32, 46, 10, 3, 22, 15, 32, 3]
SOWN = [39, 62, 81, 51, 39, 16, 30, 28, 45, 4, 6, 74, 72, 51, 79, 13, 12, 41, 30, 51, 7]
O75 = [1] * 5 + [0] * 5 + [1] * 6 + [0] * 5
CUCUMBER = [0] * 10 + [1] * 11
BOTH = [a * b for a, b in zip(O75, CUCUMBER, strict=True)]

MALFORMED = [48, 38, 5, 1, 1]
HEALTHY = [17066, 14464, 788, 126, 37]
DRINKS = [0, 0.5, 1.5, 4, 7]


def test_beetles(published: Check) -> None:
    fit = fit_logistic([DOSE], KILLED, BEETLES)
    intercept, slope = fit.coefficients

    published(BLISS, "intercept", intercept, -60.717, 6e-4)
    published(BLISS, "slope", slope, 34.270, 5e-4)
    published(BLISS, "standard error of the intercept", fit.standard_errors[0], 5.181, 5e-4)
    published(BLISS, "standard error of the slope", fit.standard_errors[1], 2.912, 5e-4)
    published(BLISS, "residual deviance", fit.deviance, 11.232, 5e-4)
    published(BLISS, "residual degrees of freedom", fit.df, 6, 0)
    published(BLISS, "dose that kills half", -intercept / slope, 1.7717, 5e-5)
    for i, killed in enumerate((3.46, 9.84, 22.45, 33.90, 50.10, 53.29, 59.22, 58.74)):
        published(BLISS, f"killed of group {i + 1}, fitted", BEETLES[i] * fit.fitted[i], killed, 5e-3)


def test_beetles_need_59_in_the_first_group() -> None:
    """One stored copy of the data has 49; the printed coefficients do not come out of it."""
    fit = fit_logistic([DOSE], KILLED, [49, *BEETLES[1:]])

    assert abs(fit.coefficients[1] - 34.270) > 0.1


def test_seeds_on_plates(published: Check) -> None:
    fit = fit_logistic([O75, CUCUMBER, BOTH], GERMINATED, SOWN)

    for name, got, estimate in zip(
        ("intercept", "O75", "cucumber", "both"), fit.coefficients, (-0.4122, -0.1459, 0.5401, 0.7781), strict=True
    ):
        published(CROWDER, f"coefficient: {name}", got, estimate, 5e-5)
    for name, got, error in zip(
        ("intercept", "O75", "cucumber", "both"), fit.standard_errors, (0.1842, 0.2232, 0.2498, 0.3064), strict=True
    ):
        published(CROWDER, f"standard error: {name}", got, error, 5e-5)
    published(CROWDER, "deviance", fit.deviance, 33.278, 5e-4)
    published(CROWDER, "Pearson X squared", fit.pearson_x2, 31.651, 5e-4)
    published(CROWDER, "degrees of freedom", fit.df, 17, 0)
    assert fit.dispersion is not None
    published(CROWDER, "dispersion", fit.dispersion, 1.862, 5e-4)


def test_seeds_on_plates_without_factors(published: Check) -> None:
    fit = fit_logistic([], GERMINATED, SOWN)

    published(CROWDER, "null model: deviance", fit.deviance, 98.719, 6e-4)
    published(CROWDER, "null model: Pearson X squared", fit.pearson_x2, 93.818, 5e-4)
    published(CROWDER, "null model: degrees of freedom", fit.df, 20, 0)
    assert fit.dispersion is not None
    published(CROWDER, "null model: dispersion", fit.dispersion, 4.691, 5e-4)


def test_quasi_binomial_tests(published: Check) -> None:
    """Standard errors widen by the root of the dispersion and p comes from t, as a quasi-binomial fit has it."""
    # imported here: a second of start-up that only this check needs
    import numpy as np  # noqa: PLC0415
    import statsmodels.api as sm  # noqa: PLC0415

    design = sm.add_constant(np.column_stack([O75, CUCUMBER, BOTH]))
    counts = np.column_stack([GERMINATED, np.subtract(SOWN, GERMINATED)])
    model = sm.GLM(counts, design, family=sm.families.Binomial())
    plain = model.fit()
    reference = model.fit(scale=plain.pearson_chi2 / plain.df_resid, use_t=True)
    fit = fit_logistic([O75, CUCUMBER, BOTH], GERMINATED, SOWN)

    for i, got in enumerate(wald_tests(fit, fit.dispersion)):
        published(CROWDER, f"quasi-binomial: standard error {i}", got.standard_error, float(reference.bse[i]), 1e-8)
        published(CROWDER, f"quasi-binomial: t {i}", got.ratio, float(reference.tvalues[i]), 1e-7)
        published(CROWDER, f"quasi-binomial: p {i}", got.p_value, float(reference.pvalues[i]), 1e-8)


@pytest.mark.parametrize("misses", [SCATTERED, BY_CHANCE], ids=["scattered", "by chance"])
def test_rows_that_stand_alone_are_a_quasi_binomial_regression(published: Check, misses: list[int]) -> None:
    """With Student's t where rows scatter more than chance makes them, otherwise with the normal distribution."""
    import numpy as np  # noqa: PLC0415
    import statsmodels.api as sm  # noqa: PLC0415

    rows = [RowFacts(missed, 200, depth_mm=depth) for missed, depth in zip(misses, DEPTHS, strict=True)]
    counts = np.column_stack([misses, np.subtract(200, misses)])
    model = sm.GLM(counts, sm.add_constant(DEPTHS), family=sm.families.Binomial())
    plain = model.fit(tol=1e-12)
    dispersion = plain.pearson_chi2 / plain.df_resid
    reference = model.fit(scale=dispersion, use_t=True, tol=1e-12) if dispersion > 1 else plain
    low, high = map(float, reference.conf_int()[1])

    (judged,) = fit_misses(columns_of(Factor.DEPTH, DEPTHS), rows).judged
    (effect,) = analyze_misses(rows).effects

    case = f"dispersion {dispersion:.2f}: "
    step = STEPS[Factor.DEPTH]
    published(MADE_UP, case + "log odds per mm of depth", judged.log_odds, float(reference.params[1]), 1e-8)
    published(MADE_UP, case + "log odds, 95 % lower", judged.low, low, 1e-8)
    published(MADE_UP, case + "log odds, 95 % upper", judged.high, high, 1e-8)
    published(MADE_UP, case + "p", judged.p_value, float(reference.pvalues[1]), 1e-8)
    published(MADE_UP, case + "odds ratio per 10 mm", effect.odds_ratio, math.exp(step * judged.log_odds), 1e-8)
    published(MADE_UP, case + "odds ratio, 95 % upper", effect.high, math.exp(step * high), 1e-7)


def test_many_tests_at_once(published: Check) -> None:
    from statsmodels.stats.multitest import multipletests  # noqa: PLC0415

    p_values = [0.011, 0.02, 0.04, 0.002, 0.5, 0.04, 0.9]
    expected = multipletests(p_values, method="holm")[1]

    for p_value, got, adjusted in zip(p_values, holm(p_values), expected, strict=True):
        published("Holm's method, computed with statsmodels 0.15", f"p {p_value}", got, float(adjusted), 1e-12)


def test_infants_by_drinks(published: Check) -> None:
    fit = fit_logistic([DRINKS], MALFORMED, [sick + well for sick, well in zip(MALFORMED, HEALTHY, strict=True)])

    published(AGRESTI_COMPUTED, "logit slope", fit.coefficients[1], 0.31656, 5e-6)
    published(AGRESTI_COMPUTED, "logit slope, standard error", fit.standard_errors[1], 0.12545, 5e-6)
    published(AGRESTI_COMPUTED, "logit intercept", fit.coefficients[0], -5.96046, 5e-6)


@pytest.mark.parametrize(("continuity", "chi_square", "p"), [(False, 1.52461, 0.21692), (True, 1.42695, 0.23226)])
def test_admissions_within_departments(published: Check, continuity: bool, chi_square: float, p: float) -> None:
    """The classic reversal: men seem favoured over all, and are not within departments."""
    men = [(512, 313), (353, 207), (120, 205), (138, 279), (53, 138), (22, 351)]
    women = [(89, 19), (17, 8), (202, 391), (131, 244), (94, 299), (24, 317)]
    strata = [Stratum(Group(m, m + n), Group(w, w + v)) for (m, n), (w, v) in zip(men, women, strict=True)]

    got = compare_within_strata(strata, continuity=continuity)

    assert got.odds_ratio is not None
    assert got.low is not None
    assert got.high is not None
    assert got.chi_square is not None
    assert got.p_value is not None
    published(BERKELEY, "common odds ratio", got.odds_ratio, 0.904697, 5e-7)
    published(BERKELEY, "95% interval, low", got.low, 0.771907, 5e-7)
    published(BERKELEY, "95% interval, high", got.high, 1.060330, 5e-7)
    published(BERKELEY, f"chi square, continuity {continuity}", got.chi_square, chi_square, 5e-6)
    published(BERKELEY, f"p, continuity {continuity}", got.p_value, p, 5e-6)
