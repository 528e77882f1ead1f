"""Whether one group of plantings was faster than another."""

import math
from collections.abc import Sequence

import pytest
from scipy import stats

from shared_models.trade.stats.compare_rates import rate_ratio
from tests.published.conftest import Check

WELCH = "Welch (1947) on rates over their mean, computed with scipy 1.17 (ttest_ind, unequal variances)"


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ([700, 810, 760], [520, 610, 555, 590]),
        ([980, 1010, 1005, 1030, 990], [700, 1300]),
        ([400, 420], [415, 400, 380, 410, 405, 395]),
    ],
)
def test_plantings_of_one_length_of_time(published: Check, first: Sequence[float], second: Sequence[float]) -> None:
    """Over equal times the rate of a group is a mean, and the comparison is Welch's."""
    mine, other = ([rate / (math.fsum(group) / len(group)) for rate in group] for group in (first, second))
    reference = stats.ttest_ind(mine, other, equal_var=False)
    error = math.hypot(stats.sem(mine), stats.sem(other))
    reach = math.exp(stats.t.ppf(0.975, reference.df) * error)
    ratio = (math.fsum(first) / len(first)) / (math.fsum(second) / len(second))

    result = rate_ratio([(rate, 1.0) for rate in first], [(rate, 1.0) for rate in second])

    assert result.low is not None
    assert result.high is not None
    case = f"{len(first)} plantings against {len(second)}"
    published(WELCH, f"{case}: ratio", result.ratio, ratio, 1e-9)
    published(WELCH, f"{case}: lower", result.low, float(ratio / reach), 1e-9)
    published(WELCH, f"{case}: upper", result.high, float(ratio * reach), 1e-7)
