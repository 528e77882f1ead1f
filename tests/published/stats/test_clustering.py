"""Clustering along rows."""

import math

import pytest

from shared_models.trade.stand.stand import counted_stand, kish_design_effect, samples_needed, wilson
from tests.published.conftest import Check

KISH = "Kish design effect 1 + (m - 1) rho"
KISH_PRINTED = KISH + " (as quoted in a statistics page)"
KISH_COMPUTED = KISH + ", computed"
CROWDER = (
    "Crowder (1978), Applied Statistics 27:34-37, seeds germinated on 21 plates (data as quoted in the R package "
    "agridat); figure computed from the data"
)
STATSMODELS = "computed with statsmodels 0.15 (Wilson on 240 / 1.45 positions)"

CROWDER_SEEDS = [
    *[(10, 39), (23, 62), (23, 81), (26, 51), (17, 39)],
    *[(8, 16), (10, 30), (8, 28), (23, 45), (0, 4)],
    *[(5, 6), (53, 74), (55, 72), (32, 51), (46, 79), (10, 13)],
    *[(3, 12), (22, 41), (15, 30), (32, 51), (3, 7)],
]


@pytest.mark.parametrize(
    ("source", "size", "rho", "effect"),
    [
        (KISH_PRINTED, 12, 0.03, 1.33),
        (KISH_COMPUTED, 10, 0.05, 1.45),
        (KISH_COMPUTED, 25, 0.02, 1.48),
    ],
)
def test_design_effect_of_equal_samples(published: Check, source: str, size: int, rho: float, effect: float) -> None:
    published(source, f"m = {size}, rho = {rho}: design effect", kish_design_effect(size, rho), effect, 0.005)


def test_interval_on_effective_positions(published: Check) -> None:
    effect = kish_design_effect(10, 0.05)
    got = wilson(228 / effect, 240 / effect)

    published(STATSMODELS, "240 positions with design effect 1.45: effective positions", 240 / effect, 165.52, 0.005)
    published(STATSMODELS, "228/240, design effect 1.45: lower", got.low, 0.90542, 5e-6)
    published(STATSMODELS, "228/240, design effect 1.45: upper", got.high, 0.97417, 5e-6)


def test_seeds_on_plates(published: Check) -> None:
    stand = counted_stand(CROWDER_SEEDS)
    single_se = math.sqrt(stand.proportion * (1 - stand.proportion) / stand.positions)

    published(CROWDER, "germinated", stand.plants, 424, 0)
    published(CROWDER, "seeds", stand.positions, 831, 0)
    published(CROWDER, "pooled proportion", stand.proportion, 0.51023, 5e-6)
    published(CROWDER, "standard error of single seeds", single_se, 0.017341, 5e-7)
    published(CROWDER, "standard error of plates", single_se * math.sqrt(stand.design_effect), 0.044202, 5e-7)
    published(CROWDER, "design effect", stand.design_effect, 6.497, 5e-4)


def test_the_naive_interval_of_seeds_on_plates_is_visibly_too_narrow() -> None:
    stand, naive = counted_stand(CROWDER_SEEDS), wilson(424, 831)

    assert (stand.interval.high - stand.interval.low) > 2.5 * (naive.high - naive.low)


def test_clustered_positions_need_as_many_more_samples(published: Check) -> None:
    source = "Cochran (1977), Sampling Techniques, ch. 4, times " + KISH + " (from memory); 1.96^2 x 0.9 x 0.1 / 0.03^2"
    published(source, "samples of 40 for 90 ± 3 %", samples_needed(0.03, 0.9, 40), math.ceil(384.15 / 40), 0)
    effect = kish_design_effect(40, 0.05)
    published(source, "… at rho 0.05", samples_needed(0.03, 0.9, 40, effect), math.ceil(384.15 * 2.95 / 40), 0)
