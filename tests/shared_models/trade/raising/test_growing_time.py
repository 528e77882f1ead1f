from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.raising.growing_time import GrowingTime, Guide, growing_time, readiness_window


def test_the_first_guide_that_has_the_crop_answers() -> None:
    onion, celery = growing_time("onion"), growing_time("celery")

    assert onion is not None
    assert celery is not None
    assert (onion.guide, celery.guide) == (Guide.MID_ATLANTIC, Guide.UTAH)


def test_a_named_guide_answers_alone() -> None:
    utah = growing_time("lettuce", Guide.UTAH)

    assert utah == GrowingTime(6 + 21, 8 + 35, Guide.UTAH)
    assert growing_time("celery", Guide.MID_ATLANTIC) is None
    assert growing_time("lettuce", Guide.FARM) is None


def test_an_unknown_crop_has_no_growing_time() -> None:
    assert growing_time("marigold") is None


@given(sown=st.dates(date(2000, 1, 1), date(2100, 1, 1)), first=st.integers(0, 100), longer=st.integers(0, 60))
def test_the_window_lies_as_many_days_after_sowing_as_the_crop_grows(sown: date, first: int, longer: int) -> None:
    window = readiness_window(sown, GrowingTime(first, first + longer))

    assert (window.ready_from - sown).days == first
    assert (window.ready_until - window.ready_from).days == longer
    assert window.guide is Guide.FARM


@pytest.mark.parametrize(("first", "last"), [(-1, 5), (30, 29), (1.5, 3)])
def test_a_window_that_closes_before_it_opens_is_refused(first: int, last: int) -> None:
    with pytest.raises(BadQuantity):
        GrowingTime(first, last)
