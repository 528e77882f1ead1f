from __future__ import annotations

from itertools import pairwise
from math import nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.vocabulary import Feel, Texture
from shared_models.errors import BadQuantity
from shared_models.trade.soil.feel import GUIDE, Span, available_water, deficit_mm, depletion, water_capacity

shares = st.floats(0, 1)


def test_the_classes_follow_each_other_without_gaps() -> None:
    classes = [available_water(feel) for feel in Feel]

    assert classes[0].low == 0
    assert all(drier.high == wetter.low for drier, wetter in pairwise(classes))
    assert classes[-1] == Span(1, 1)


@given(st.sampled_from(Texture), shares, shares, st.floats(1, 1_000))
def test_a_deficit_is_the_dry_part_of_the_capacity(texture: Texture, one: float, other: float, depth_mm: float) -> None:
    low_share, high_share = sorted((one, other))
    capacity = water_capacity(texture)

    low, high = deficit_mm(texture, low_share, high_share, depth_mm)

    assert 0 <= low <= high <= capacity.high * depth_mm
    assert low + capacity.low * depth_mm * high_share == pytest.approx(capacity.low * depth_mm)
    assert high + capacity.high * depth_mm * low_share == pytest.approx(capacity.high * depth_mm)


@given(st.sampled_from(Texture), shares, shares)
def test_wetter_soil_lacks_less(texture: Texture, one: float, other: float) -> None:
    dry, wet = sorted((one, other))

    assert deficit_mm(texture, wet, wet) <= deficit_mm(texture, dry, dry)


@given(st.sampled_from(Texture), st.floats(1, 500), st.floats(1, 500))
def test_the_deficits_of_two_layers_add_up(texture: Texture, upper_mm: float, lower_mm: float) -> None:
    whole = deficit_mm(texture, 0.25, 0.5, upper_mm + lower_mm)
    upper, lower = deficit_mm(texture, 0.25, 0.5, upper_mm), deficit_mm(texture, 0.25, 0.5, lower_mm)

    assert whole == pytest.approx((upper.low + lower.low, upper.high + lower.high))


def test_the_guide_has_another_line_for_each_class_of_each_texture() -> None:
    lines = [GUIDE[texture][feel] for texture in Texture for feel in Feel]

    assert len(set(lines)) == len(Texture) * len(Feel)


@given(st.floats(0.1, 100), shares)
def test_depletion_is_the_share_of_the_deficit(capacity_mm: float, share: float) -> None:
    assert depletion(capacity_mm * share, capacity_mm) == pytest.approx(share)


@pytest.mark.parametrize(
    ("low", "high", "depth_mm", "field"),
    [
        (0.5, 0.25, 100, "available_low"),
        (-0.1, 0.5, 100, "available_low"),
        (0, 1.1, 100, "available_high"),
        (0, nan, 100, "available_high"),
        (0, 1, 0, "depth_mm"),
    ],
)
def test_impossible_shares_and_depths_are_refused(low: float, high: float, depth_mm: float, field: str) -> None:
    with pytest.raises(BadQuantity) as trouble:
        deficit_mm(Texture.MEDIUM, low, high, depth_mm)

    assert trouble.value.field == field


@pytest.mark.parametrize(("deficit", "capacity"), [(3, 2), (-1, 2), (0, 0)])
def test_a_store_cannot_lack_more_than_it_holds(deficit: float, capacity: float) -> None:
    with pytest.raises(BadQuantity):
        depletion(deficit, capacity)
