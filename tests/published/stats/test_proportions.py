"""Confidence intervals of a stand."""

import pytest
from scipy import stats
from statsmodels.stats.proportion import proportion_confint, samplesize_confint_proportion

from shared_models.trade.stand.stand import counted_stand, samples_needed, wilson
from tests.published.conftest import Check

NEWCOMBE = (
    "Newcombe (1998), Statistics in Medicine 17:857-872, Table I, method 3 (as quoted in the manual of DescTools and "
    "in test suites of statistics packages)"
)
SCIPY = "computed with scipy 1.17 (binomtest.proportion_ci)"
STATSMODELS = "computed with statsmodels 0.15"
PROP_TEST = "R 3.6.2 prop.test (as quoted in scipy/stats/tests/test_morestats.py, test_ci_wilson_method)"


@pytest.mark.parametrize(("plants", "places", "low", "high"), [(81, 263, 0.2553, 0.3662), (0, 20, 0.0000, 0.1611)])
def test_newcombe_method_3(published: Check, plants: int, places: int, low: float, high: float) -> None:
    got = wilson(plants, places)
    published(NEWCOMBE, f"{plants}/{places}, 95 %: lower", got.low, low, 5e-5)
    published(NEWCOMBE, f"{plants}/{places}, 95 %: upper", got.high, high, 5e-5)


@pytest.mark.parametrize(("plants", "places", "low", "high"), [(81, 263, 0.2535, 0.3682), (0, 20, 0.0, 0.2005)])
def test_newcombe_method_4(published: Check, plants: int, places: int, low: float, high: float) -> None:
    got = wilson(plants, places, continuity=True)
    published(SCIPY, f"{plants}/{places}, 95 %, continuity: lower", got.low, low, 5e-5)
    published(SCIPY, f"{plants}/{places}, 95 %, continuity: upper", got.high, high, 5e-5)


@pytest.mark.parametrize(
    ("plants", "continuity", "confidence", "low", "high"),
    [
        (3, False, 0.95, 0.1077913, 0.6032219),
        (3, False, 0.99, 0.07956632, 0.6799753),
        (3, True, 0.95, 0.08094782, 0.64632928),
        (3, True, 0.99, 0.0586329, 0.7169416),
        (0, False, 0.95, 0.0, 0.2775328),
        (0, True, 0.95, 0.0, 0.3445372),
        (10, False, 0.95, 0.7224672, 1.0),
        (10, True, 0.95, 0.6554628, 1.0),
    ],
)
def test_r_prop_test(
    published: Check, plants: int, *, continuity: bool, confidence: float, low: float, high: float
) -> None:
    got = wilson(plants, 10, confidence, continuity=continuity)
    case = f"{plants}/10, {confidence:.0%}{', continuity' if continuity else ''}"
    published(PROP_TEST, f"{case}: lower", got.low, low, 1e-6)
    published(PROP_TEST, f"{case}: upper", got.high, high, 1e-6)


@pytest.mark.parametrize(
    ("plants", "continuity", "confidence", "low"),
    [
        (3, False, 0.95, 0.1268766),
        (3, False, 0.99, 0.08974147),
        (3, True, 0.95, 0.09644904),
        (3, True, 0.99, 0.06659141),
        (10, False, 0.95, 0.787058),
        (10, True, 0.95, 0.7152626),
    ],
)
def test_r_prop_test_one_sided(
    published: Check, *, plants: int, continuity: bool, confidence: float, low: float
) -> None:
    """A lower limit alone at 95 % is that of the two-sided 90 % interval."""
    got = wilson(plants, 10, 2 * confidence - 1, continuity=continuity)
    case = f"{plants}/10, {confidence:.0%} one-sided{', continuity' if continuity else ''}: lower"
    published(PROP_TEST, case, got.low, low, 1e-6)


@pytest.mark.parametrize(
    ("plants", "places", "low", "high"),
    [(252, 264, 0.92224, 0.97381), (240, 264, 0.86830, 0.93815), (228, 240, 0.91465, 0.97117)],
)
def test_a_counted_sample(published: Check, plants: int, places: int, low: float, high: float) -> None:
    got = counted_stand([(plants, places)]).interval
    published(STATSMODELS, f"{plants}/{places}, 95 %: lower", got.low, low, 5e-6)
    published(STATSMODELS, f"{plants}/{places}, 95 %: upper", got.high, high, 5e-6)


@pytest.mark.parametrize("confidence", [0.8, 0.95, 0.999])
@pytest.mark.parametrize(("plants", "places"), [(0, 7), (1, 264), (37, 40), (263, 264), (1000, 1000)])
def test_any_count_against_two_libraries(published: Check, plants: int, places: int, confidence: float) -> None:
    plain, corrected = wilson(plants, places, confidence), wilson(plants, places, confidence, continuity=True)
    low, high = proportion_confint(plants, places, alpha=1 - confidence, method="wilson")
    reference = stats.binomtest(plants, places).proportion_ci(confidence, method="wilsoncc")

    case = f"{plants}/{places}, {confidence:g}"
    published(STATSMODELS, f"{case}: lower", plain.low, float(low), 1e-9)
    published(STATSMODELS, f"{case}: upper", plain.high, float(high), 1e-9)
    published(SCIPY, f"{case}, continuity: lower", corrected.low, float(reference.low), 1e-9)
    published(SCIPY, f"{case}, continuity: upper", corrected.high, float(reference.high), 1e-9)


@pytest.mark.parametrize(("proportion", "margin"), [(0.5, 0.05), (0.9, 0.03), (0.95, 0.02)])
def test_positions_to_count(published: Check, proportion: float, margin: float) -> None:
    """With one position a sample, the samples needed are the positions: 385 for 50 ± 5 %."""
    exact = float(samplesize_confint_proportion(proportion, margin))
    case = f"positions for {proportion:.0%} ± {margin:.0%}"
    published(STATSMODELS + ", rounded up", case, samples_needed(margin, proportion, 1), exact, 1.0)
