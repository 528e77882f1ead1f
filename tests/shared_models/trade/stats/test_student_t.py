import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from shared_models.errors import BadQuantity
from shared_models.trade.stats.student_t import t_quantile, t_tail, t_two_sided, z_two_sided

freedoms = st.floats(0.5, 1e6)


@given(st.floats(1e-6, 1 - 1e-6), freedoms)
def test_quantiles_agree_with_scipy(share: float, df: float) -> None:
    expected = float(stats.t.ppf(share, df))

    assert t_quantile(share, df) == pytest.approx(expected, rel=1e-8, abs=1e-8)


@given(st.floats(-50, 50), freedoms)
def test_tails_agree_with_scipy(t: float, df: float) -> None:
    assert t_tail(t, df) == pytest.approx(float(stats.t.sf(t, df)), rel=1e-8, abs=1e-12)


@given(st.floats(1e-6, 1 - 1e-6), st.floats(0.5, 1e4))
def test_the_tail_above_a_quantile_is_the_rest(share: float, df: float) -> None:
    assert t_tail(t_quantile(share, df), df) == pytest.approx(1.0 - share, rel=1e-9, abs=1e-12)


@given(st.floats(0.01, 0.999), st.floats(1, 1e6))
def test_fewer_observations_never_narrow_an_interval(confidence: float, df: float) -> None:
    assert t_two_sided(confidence, df) >= t_two_sided(confidence, 2 * df) - 1e-9
    assert t_two_sided(confidence, df) >= z_two_sided(confidence) - 1e-9


def test_the_quantile_does_not_jump_where_the_method_changes() -> None:
    assert t_quantile(0.975, 1e5) == pytest.approx(t_quantile(0.975, 1e5 + 1), abs=1e-9)


def test_the_middle_is_zero() -> None:
    assert t_quantile(0.5, 3) == pytest.approx(0.0, abs=1e-12)
    assert t_tail(0.0, 3) == pytest.approx(0.5)
    assert t_tail(1e200, 3) == 0.0


@pytest.mark.parametrize("share", [0.0, 1.0, -0.1, 1.1, math.nan])
def test_a_share_outside_zero_to_one_is_refused(share: float) -> None:
    with pytest.raises(BadQuantity):
        t_quantile(share, 5)
    with pytest.raises(BadQuantity):
        t_two_sided(share, 5)
    with pytest.raises(BadQuantity):
        z_two_sided(share)


def test_a_value_that_is_no_number_has_no_tail() -> None:
    assert t_tail(math.inf, 3) == 0.0
    with pytest.raises(BadQuantity):
        t_tail(math.nan, 3)


@pytest.mark.parametrize("df", [0.0, -1.0, math.nan, math.inf])
def test_no_degrees_of_freedom_are_refused(df: float) -> None:
    with pytest.raises(BadQuantity):
        t_quantile(0.9, df)
    with pytest.raises(BadQuantity):
        t_tail(1.0, df)
