import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.work.allowance import normal_time, standard_time, standard_time_on_work


@given(st.floats(0.1, 1e5), st.floats(0, 0.9))
def test_a_share_of_the_shift_fills_the_shift(normal_s: float, allowance: float) -> None:
    standard = standard_time(normal_s, allowance)

    assert standard * (1.0 - allowance) == pytest.approx(normal_s)


@given(st.floats(0.1, 1e5), st.floats(0.01, 0.9))
def test_the_same_share_of_the_shift_is_more_than_of_the_work(normal_s: float, allowance: float) -> None:
    assert standard_time(normal_s, allowance) > standard_time_on_work(normal_s, allowance) > normal_s


def test_a_fast_worker_is_watched_for_less_than_the_normal_time() -> None:
    assert normal_time(100.0, 1.2) == pytest.approx(120.0)
    assert normal_time(100.0) == 100.0


def test_impossible_allowances_are_refused() -> None:
    for share in (1.0, -0.1, math.nan):
        with pytest.raises(BadQuantity, match="shift_share"):
            standard_time(60.0, share)
    with pytest.raises(BadQuantity, match="work_share"):
        standard_time_on_work(60.0, -0.1)
    with pytest.raises(BadQuantity, match="rating"):
        normal_time(60.0, 0.0)
    for timed in (normal_time, standard_time):
        with pytest.raises(BadQuantity):
            timed(-1.0)
    with pytest.raises(BadQuantity, match="normal_s"):
        standard_time_on_work(-1.0, 0.1)
