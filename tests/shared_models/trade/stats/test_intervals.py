"""Intervals hold the truth as often as they say: 93 to 97 of 100 at 95 %, at sizes that a farm has.

Stand counts under clustering are in `test_stand.py`, finish times in `test_finish.py`, fixes in `tests/published`.
"""

import math

import numpy as np
import pytest
from scipy import stats

from shared_models.trade.misses.factors import Factor, columns_of
from shared_models.trade.misses.model import fit_misses
from shared_models.trade.soil.residue import Transect, residue_cover
from shared_models.trade.stand.stand import wilson
from shared_models.trade.stats.compare_groups import Group, Stratum, compare_within_strata
from shared_models.trade.stats.trend import fit_line, forecast
from tests.shared_models.trade.weather.season import season


def as_often_as_said(held: float, of: int = 1) -> bool:
    return bool(0.93 <= held / of <= 0.97)


@pytest.mark.parametrize("positions", [264, 600])
@pytest.mark.parametrize("stand", [0.8, 0.85, 0.9, 0.95, 0.97])
def test_one_stretch_of_row(positions: int, stand: float) -> None:
    """Added up exactly over every count that there can be."""
    counts = np.arange(positions + 1)
    intervals = [wilson(int(plants), positions) for plants in counts]
    holds = [interval.low <= stand <= interval.high for interval in intervals]

    assert as_often_as_said(float(stats.binom.pmf(counts, positions, stand) @ np.array(holds)))


def test_a_line_and_the_next_value_on_it() -> None:
    rng = np.random.default_rng(5)
    line_held, value_held, times = 0, 0, 3000
    for _ in range(times):
        hours = rng.uniform(0, 10, 8)
        result = forecast(fit_line(hours.tolist(), (3 + 0.5 * hours + rng.normal(0, 1, 8)).tolist()), 12)
        assert result.mean_margin is not None
        assert result.single_margin is not None
        line_held += abs(result.expected - 9) <= result.mean_margin
        value_held += abs(result.expected - rng.normal(9, 1)) <= result.single_margin

    assert as_often_as_said(line_held, times)
    assert as_often_as_said(value_held, times)


@pytest.mark.parametrize("percent", [5, 15, 30])
def test_residue_under_marks_that_fall_by_chance(percent: int) -> None:
    rng = np.random.default_rng(percent)
    held, times = 0, 3000
    for _ in range(times):
        cover = residue_cover([Transect(int(rng.binomial(marks, percent / 100)), marks) for marks in (100, 100, 50)])
        held += cover.low_percent <= percent <= cover.high_percent

    assert as_often_as_said(held, times)


@pytest.mark.parametrize("dispersion", [1.0, 2.0])
def test_the_odds_of_a_miss_within_beds(dispersion: float) -> None:
    """Four beds of 400 plants for each setting, with odds of 1.5; twice the scatter of chance when it is told."""
    rng = np.random.default_rng(round(dispersion))
    held, times, plants = 0, 3000, 400
    likeness = (dispersion - 1) / (plants - 1)

    def group(log_odds: float) -> Group:
        p = 1 / (1 + math.exp(-log_odds))
        if likeness:
            p = rng.beta(p * (1 / likeness - 1), (1 - p) * (1 / likeness - 1))
        return Group(int(rng.binomial(plants, p)), plants)

    for _ in range(times):
        beds = [Stratum(group(bed + math.log(1.5)), group(bed)) for bed in (-3, -2.5, -3.3, -2.8)]
        got = compare_within_strata(beds, dispersion)
        assert got.low is not None
        assert got.high is not None
        held += got.low <= 1.5 <= got.high

    assert as_often_as_said(held, times)


@pytest.mark.parametrize("scatter", [0.2, 0.4])
def test_effects_on_misses_when_plantings_scatter(scatter: float) -> None:
    """Depth varies from row to row, so 36 rows are 36; age is the same in all rows of 12 plantings, so they are 12."""
    depth_held, age_held, times = 0, 0, 500
    for seed in range(times):
        rows = season(12, rows_each=3, seed=seed, depth_effect=0.04, planting_scatter=scatter)
        depths = columns_of(Factor.DEPTH, [row.depth_mm for row in rows])
        ages = columns_of(Factor.PLANT_AGE, [row.plant_age_days for row in rows])
        depth, age = fit_misses(depths + ages, rows).judged
        depth_held += depth.low <= 0.04 <= depth.high
        age_held += age.low <= 0 <= age.high

    assert as_often_as_said(depth_held, times)
    assert as_often_as_said(age_held, times)
