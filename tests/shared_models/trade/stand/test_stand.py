import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.stand.stand import (
    FillLine,
    FillList,
    Interval,
    counted_stand,
    fill_list,
    kish_design_effect,
    planted_stand,
    positions,
    samples_needed,
    wilson,
)


@st.composite
def counts(draw: st.DrawFn) -> tuple[int, int]:
    places = draw(st.integers(1, 300))
    return draw(st.integers(0, places)), places


def width(interval: Interval) -> float:
    return interval.high - interval.low


def test_a_row_is_full_to_the_margin() -> None:
    """264 cells at 2 in make 44 ft: as many gaps as plants, not one fewer."""
    assert positions(44 * 304.8, 50.8) == pytest.approx(264.0)
    assert positions(0.0, 50.8) == 0.0


@given(st.floats(0, 1e6), st.floats(0, 1e6), st.floats(10, 500))
def test_positions_of_two_rows_are_those_of_one_row_as_long(first_mm: float, second_mm: float, spacing: float) -> None:
    together = positions(first_mm + second_mm, spacing)

    assert together == pytest.approx(positions(first_mm, spacing) + positions(second_mm, spacing))


def test_misses_lower_the_stand_and_fills_raise_it() -> None:
    assert planted_stand(264, 0) == 1.0
    assert planted_stand(264, 12) == pytest.approx(252 / 264)
    assert planted_stand(264, 12, 5) == pytest.approx(257 / 264)
    assert planted_stand(264, 12, 12) == 1.0
    assert planted_stand(264, 264) == 0.0


def test_a_started_cell_may_be_missed() -> None:
    """A length kept in whole millimeters makes 263.996 positions of 264 cells, and all 264 can be missed."""
    assert planted_stand(positions(13_411, 50.8), 264) == 0.0


@given(st.integers(1, 1000).flatmap(lambda n: st.tuples(st.just(n), st.integers(0, n))), st.data())
def test_a_planted_stand_is_a_proportion_and_each_fill_helps(row: tuple[int, int], data: st.DataObject) -> None:
    places, misses = row
    filled = data.draw(st.integers(0, misses))

    stand = planted_stand(places, misses, filled)

    assert 0.0 <= stand <= 1.0
    assert filled == misses or planted_stand(places, misses, filled + 1) > stand


@pytest.mark.parametrize(
    ("field", "row"),
    [
        ("misses", (264, 265, 0)),
        ("misses", (264, -1, 0)),
        ("filled", (264, 5, 6)),
        ("filled", (264, 5, -1)),
        ("positions", (0, 0, 0)),
        ("positions", (math.nan, 0, 0)),
    ],
)
def test_more_misses_than_positions_or_fills_than_misses_are_refused(field: str, row: tuple[float, int, int]) -> None:
    with pytest.raises(BadQuantity) as refused:
        planted_stand(*row)

    assert refused.value.field == field


@given(counts(), st.floats(0.5, 0.999))
def test_the_interval_holds_the_proportion_inside_zero_to_one(count: tuple[int, int], confidence: float) -> None:
    plants, places = count

    for interval in (wilson(plants, places, confidence), wilson(plants, places, confidence, continuity=True)):
        assert 0.0 <= interval.low <= plants / places + 1e-12
        assert plants / places - 1e-12 <= interval.high <= 1.0


@given(counts())
def test_plants_and_gaps_mirror_each_other(count: tuple[int, int]) -> None:
    plants, places = count
    full, empty = wilson(plants, places), wilson(places - plants, places)

    assert (full.low, full.high) == pytest.approx((1 - empty.high, 1 - empty.low))


@given(counts(), st.floats(0.5, 0.99))
def test_more_confidence_or_a_correction_widens_the_interval(count: tuple[int, int], confidence: float) -> None:
    plain = wilson(*count, confidence)

    assert width(wilson(*count, confidence + 0.005)) > width(plain)
    assert width(wilson(*count, confidence, continuity=True)) > width(plain)


@given(counts(), st.integers(2, 20))
def test_counting_more_narrows_the_interval(count: tuple[int, int], times: int) -> None:
    plants, places = count

    assert width(wilson(plants * times, places * times)) < width(wilson(plants, places))


def test_nothing_found_and_all_found_reach_the_ends_exactly() -> None:
    assert wilson(0, 20).low == wilson(0, 20, continuity=True).low == 0.0
    assert wilson(20, 20).high == wilson(20, 20, continuity=True).high == 1.0


@pytest.mark.parametrize(
    "bad", [(-1, 20, 0.95), (21, 20, 0.95), (0, 0, 0.95), (math.nan, 20, 0.95), (5, 20, 1.0), (5, 20, 0.0)]
)
def test_impossible_proportions_are_refused(bad: tuple[float, float, float]) -> None:
    with pytest.raises(BadQuantity):
        wilson(*bad)


def test_one_sample_has_wilsons_interval() -> None:
    stand = counted_stand([(37, 40)])

    assert (stand.plants, stand.positions, stand.samples) == (37, 40, 1)
    assert stand.proportion == pytest.approx(0.925)
    assert stand.design_effect == 1.0
    assert (stand.interval.low, stand.interval.high) == pytest.approx((wilson(37, 40).low, wilson(37, 40).high))


def test_even_samples_have_the_interval_of_one_large_sample() -> None:
    stand = counted_stand([(36, 40)] * 6)

    assert stand.design_effect == 1.0
    assert width(stand.interval) == pytest.approx(width(wilson(216, 240)))


def test_uneven_samples_widen_the_interval() -> None:
    even, uneven = (
        counted_stand([(36, 40)] * 6),
        counted_stand([(40, 40), (40, 40), (40, 40), (32, 40), (32, 40), (32, 40)]),
    )

    assert uneven.proportion == even.proportion
    assert uneven.design_effect > 4.0
    assert width(uneven.interval) > 2 * width(even.interval)


def test_full_samples_still_leave_a_doubt() -> None:
    """Without a gap nobody knows how gaps cluster here; they are taken to cluster as they usually do."""
    stand = counted_stand([(40, 40)] * 5)

    assert (stand.proportion, stand.design_effect, stand.interval.high) == (1.0, 1.0, 1.0)
    assert 0.95 < stand.interval.low < wilson(200, 200).low


@pytest.mark.parametrize("samples", [2, 3, 5, 8, 20])
def test_more_gaps_hardly_ever_raise_the_low_end(samples: int) -> None:
    """Spread evenly: from none to a dozen gaps, the low end stays where it is or falls. A gap must not be good news."""
    lows = [
        counted_stand([(45 - gaps // samples - (place < gaps % samples), 45) for place in range(samples)]).interval.low
        for gaps in range(13)
    ]

    assert all(more <= fewer + 0.02 for fewer, more in pairwise(lows))
    assert lows[-1] < lows[0]
    assert lows[0] > 0.89


def test_a_sample_that_is_no_whole_number_of_cells_may_hold_one_plant_more() -> None:
    """One metre at 50.8 mm is 19.7 positions and can show 20 plants; it then counts as full, and 21 is a miscount."""
    places = positions(1000, 50.8)

    assert counted_stand([(20, places)]).proportion == 1.0
    with pytest.raises(BadQuantity, match="plants"):
        counted_stand([(21, places)])


@pytest.mark.parametrize(
    "bad", [[], [(41, 40)], [(38, 40), (41, 40)], [(-1, 40)], [(0, 0)], [(math.nan, 40)], [(5, math.inf)]]
)
def test_impossible_counts_are_refused(bad: list[tuple[float, float]]) -> None:
    with pytest.raises(BadQuantity):
        counted_stand(bad)


@given(st.lists(counts(), min_size=1, max_size=20), st.randoms())
def test_a_counted_stand_ignores_order_and_is_never_surer_than_single_positions(
    samples: list[tuple[int, int]],
    random: object,
) -> None:
    stand = counted_stand(samples)
    getattr(random, "shuffle")(samples)  # noqa: B009 - hypothesis types its random as an object
    again = counted_stand(samples)

    assert (stand.plants, stand.positions) == (sum(p for p, _ in samples), sum(n for _, n in samples))
    assert stand.design_effect == pytest.approx(again.design_effect)
    assert width(stand.interval) == pytest.approx(width(again.interval))
    assert width(stand.interval) >= width(wilson(stand.plants, stand.positions)) - 1e-12
    assert 0.0 <= stand.interval.low <= stand.proportion <= stand.interval.high <= 1.0


def simulated_cover(samples: int, stand: float, rho: float, *, pooled: bool = False, beds: int = 3000) -> float:
    """Share of simulated beds (beta-binomial, 30 to 60 positions a sample) whose 95 % interval holds the true stand."""
    rng = np.random.default_rng(samples * 1000 + round(rho * 100))
    held = 0
    for _ in range(beds):
        places = rng.integers(30, 61, samples)
        local = rng.beta(stand * (1 / rho - 1), (1 - stand) * (1 / rho - 1), samples) if rho else stand
        plants = rng.binomial(places, local)
        if pooled:
            interval = wilson(int(plants.sum()), int(places.sum()))
        else:
            interval = counted_stand(list(zip(plants.tolist(), places.tolist(), strict=True))).interval
        held += interval.low <= stand <= interval.high
    return held / beds


@pytest.mark.parametrize("rho", [0.0, 0.02, 0.05])
@pytest.mark.parametrize(
    ("samples", "stand"),
    [(8, 0.8), (8, 0.9), (8, 0.95), (12, 0.9), (12, 0.95), (12, 0.97), (20, 0.9), (20, 0.97), (20, 0.98)],
)
def test_a_95_percent_interval_holds_the_truth_93_to_97_times_in_100(samples: int, stand: float, rho: float) -> None:
    """To the whole percent; in good stands too, where few gaps tell little of how they cluster."""
    assert 0.93 <= simulated_cover(samples, stand, rho) < 0.975


def test_positions_pooled_as_if_single_would_promise_too_much() -> None:
    """The reason for the design effect: at correlation 0.05 the plain interval holds the truth far too seldom."""
    assert simulated_cover(12, 0.9, 0.05, pooled=True) < 0.80


def test_samples_needed_round_up_and_are_at_least_one() -> None:
    assert samples_needed(0.03, 0.9, 385) == 1  # 384.1 positions
    assert samples_needed(0.03, 0.9, 384) == 2
    assert samples_needed(0.4, 0.9, 100) == 1


@given(st.floats(0.005, 0.3), st.floats(0.01, 0.99), st.floats(1, 100), st.floats(1, 10))
def test_clustering_and_a_closer_margin_need_more_samples(margin: float, p: float, size: float, effect: float) -> None:
    planned = samples_needed(margin, p, size, effect)

    assert samples_needed(margin, p, size, effect * 2) >= planned
    assert samples_needed(margin / 2, p, size, effect) >= planned
    assert samples_needed(margin, p, size, effect, confidence=0.99) >= planned


@given(st.floats(1, 200), st.floats(0, 1))
def test_the_design_effect_lies_between_one_and_the_size_of_a_sample(size: float, rho: float) -> None:
    assert 1.0 <= kish_design_effect(size, rho) <= size + 1e-9


@pytest.mark.parametrize(
    "bad",
    [
        {"margin": 0.0},
        {"margin": 1.0},
        {"proportion": 0.0},
        {"proportion": 1.0},
        {"proportion": math.nan},
        {"positions_per_sample": 0.0},
        {"design_effect": 0.9},
        {"design_effect": math.inf},
        {"confidence": 1.0},
    ],
)
def test_impossible_sampling_plans_are_refused(bad: dict[str, float]) -> None:
    plan = {"margin": 0.03, "proportion": 0.9, "positions_per_sample": 40.0} | bad

    with pytest.raises(BadQuantity) as refused:
        samples_needed(**plan)

    assert refused.value.field in bad


def test_impossible_correlations_are_refused() -> None:
    with pytest.raises(BadQuantity, match="rho"):
        kish_design_effect(40, 1.1)
    with pytest.raises(BadQuantity, match="positions_per_sample"):
        kish_design_effect(0.5, 0.1)


def test_the_fill_list_keeps_the_walk_and_leaves_out_rows_without_open_misses() -> None:
    listed = fill_list([(3, 4, 0), (1, 2, 2), (2, 0, 0), (5, 7, 1)])

    assert listed == FillList((FillLine(3, 4, 0), FillLine(5, 7, 1)), to_fill=10, spares=11)
    assert [line.to_fill for line in listed.lines] == [4, 6]


@pytest.mark.parametrize(("fraction", "spares"), [(0.0, 10), (0.1, 11), (0.11, 12), (0.5, 15), (1.0, 20)])
def test_spares_are_carried_whole(fraction: float, spares: int) -> None:
    assert fill_list([(1, 10, 0)], fraction).spares == spares


def test_nothing_to_fill_needs_no_spares() -> None:
    assert fill_list([]) == fill_list([(1, 3, 3)]) == FillList((), 0, 0)


@given(st.lists(st.integers(0, 40).flatmap(lambda m: st.tuples(st.integers(1, 9), st.just(m), st.integers(0, m)))))
def test_spares_cover_every_open_miss(rows: list[tuple[int, int, int]]) -> None:
    listed = fill_list(rows)

    assert listed.to_fill == sum(misses - filled for _, misses, filled in rows)
    assert listed.spares >= listed.to_fill


def test_impossible_fills_are_refused() -> None:
    with pytest.raises(BadQuantity, match="filled"):
        fill_list([(1, 2, 3)])
    with pytest.raises(BadQuantity, match="misses"):
        fill_list([(1, -2, 0)])
    with pytest.raises(BadQuantity, match="spare_fraction"):
        fill_list([(1, 2, 0)], -0.1)
