from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.soil.tilth import optimum_tillage_water, thread_says_wet, water_content


def test_a_thread_that_crumbles_at_its_full_thickness_is_dry_enough() -> None:
    assert not thread_says_wet(3.2)
    assert not thread_says_wet(6)
    assert thread_says_wet(3.1)


@given(st.floats(1, 500), st.floats(0, 2))
def test_water_added_to_dry_soil_is_found_again(dry_g: float, content: float) -> None:
    assert water_content(dry_g * (1 + content), dry_g) == pytest.approx(content, abs=1e-9)


@given(st.floats(0, 100))
def test_the_best_water_for_tillage_is_below_the_plastic_limit(plastic_limit: float) -> None:
    assert 0 <= optimum_tillage_water(plastic_limit) <= plastic_limit


@pytest.mark.parametrize(
    "refused",
    [
        lambda: water_content(90, 100),
        lambda: water_content(100, 0),
        lambda: thread_says_wet(0),
        lambda: optimum_tillage_water(-1),
        lambda: optimum_tillage_water(20, 1.2),
    ],
)
def test_impossible_samples_are_refused(refused: Callable[[], object]) -> None:
    with pytest.raises(BadQuantity):
        refused()
