"""Two rates compared: checked by hand, against Welch's test, and by how often the interval holds the truth."""

import math
import random

import pytest
from scipy import stats

from shared_models.errors import BadQuantity
from shared_models.trade.stats.compare_rates import rate_ratio

FAST = [(400.0, 1.0), (420.0, 1.0), (380.0, 1.0)]
SLOW = [(300.0, 1.0), (310.0, 1.0), (290.0, 1.0), (305.0, 1.0)]


def test_the_ratio_is_that_of_the_sums() -> None:
    """300 ft in 1 h and 100 ft in 1 h together are 200 ft/h, against 100 ft/h."""
    assert rate_ratio([(300, 1), (100, 1)], [(50, 0.5)]).ratio == pytest.approx(2.0)


def test_equal_times_give_the_interval_of_welchs_test_on_amounts_over_their_means() -> None:
    result = rate_ratio(FAST, SLOW)
    first, second = (
        [amount / (sum(a for a, _ in group) / len(group)) for amount, _ in group] for group in (FAST, SLOW)
    )
    welch = stats.ttest_ind(first, second, equal_var=False).confidence_interval(0.95)

    assert result.high is not None
    assert math.log(result.high / result.ratio) == pytest.approx(welch.high)
    assert result.is_significant


def test_one_planting_has_a_ratio_and_no_interval() -> None:
    result = rate_ratio(FAST, [(200, 1)])

    assert (result.ratio, result.low, result.high, result.is_significant) == (2.0, None, None, False)


def test_plantings_that_do_not_scatter_at_all_tell_no_interval() -> None:
    assert rate_ratio([(1, 1), (2, 2)], [(3, 3), (1, 1)]).low is None


def test_a_side_that_does_not_scatter_leaves_the_other_sides_freedom() -> None:
    result = rate_ratio(FAST, [(300, 1), (300, 1)])

    assert result.high is not None
    relative = stats.sem([1.0, 1.05, 0.95])
    assert math.log(result.high / result.ratio) == pytest.approx(stats.t.ppf(0.975, 2) * relative)


def test_swapping_the_sides_turns_the_ratio_over() -> None:
    result, turned = rate_ratio(FAST, SLOW), rate_ratio(SLOW, FAST)

    assert result.low is not None
    assert turned.high is not None
    assert (1 / turned.ratio, 1 / turned.high) == pytest.approx((result.ratio, result.low))


@pytest.mark.parametrize("plantings", [3, 8])
def test_the_interval_holds_the_truth_as_often_as_it_says(plantings: int) -> None:
    draw = random.Random(7)

    def group(rate: float) -> list[tuple[float, float]]:
        hours = [draw.uniform(0.3, 1.2) for _ in range(plantings)]
        return [(rate * hour * draw.lognormvariate(-0.01125, 0.15), hour) for hour in hours]

    result = [rate_ratio(group(1.0), group(1.25)) for _ in range(1500)]

    held = sum(each.low is not None and each.high is not None and each.low <= 0.8 <= each.high for each in result)
    assert 0.92 <= held / len(result) <= 0.97


@pytest.mark.parametrize("bad", [[], [(-1, 1)], [(1, 0)], [(0, 1), (0, 2)]])
def test_work_that_cannot_be_is_refused(bad: list[tuple[float, float]]) -> None:
    with pytest.raises(BadQuantity):
        rate_ratio(bad, SLOW)
    with pytest.raises(BadQuantity):
        rate_ratio(SLOW, bad)


@pytest.mark.parametrize("confidence", [0, 1, 1.5, math.nan])
def test_a_confidence_that_cannot_be_is_refused_even_where_no_range_is_reported(confidence: float) -> None:
    with pytest.raises(BadQuantity):
        rate_ratio([(300, 1)], [(300, 1)], confidence)
