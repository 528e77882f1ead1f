"""The usual rate, and what is usual for a mix."""

import pytest

from shared_models.errors import BadQuantity
from shared_models.trade.pace.usual import usual_of_mix, usual_rate


@pytest.mark.parametrize(
    ("rates", "usual"), [([400.0], 400), ([300.0, 500.0], 400), ([390.0, 400.0, 20.0, 410.0, 405.0], 400)]
)
def test_the_usual_rate_is_the_middle_one(rates: list[float], usual: float) -> None:
    assert usual_rate(rates) == usual


@pytest.mark.parametrize("rates", [[], [400.0, 0.0], [400.0, -1.0]])
def test_rates_that_are_none_are_refused(rates: list[float]) -> None:
    with pytest.raises(BadQuantity):
        usual_rate(rates)


def test_a_mix_is_worth_its_amount_over_the_time_it_usually_takes() -> None:
    """100 ft at 400 ft/h and 100 ft at 200 ft/h take three quarters of an hour."""
    assert usual_of_mix([(100, 400), (100, 200)]) == pytest.approx(800 / 3)


def test_a_mix_lies_between_its_parts_and_nothing_has_no_rate() -> None:
    assert usual_of_mix([(50, 300)]) == pytest.approx(300)
    assert 200 < (usual_of_mix([(1, 400), (100, 200)]) or 0) < 203
    assert usual_of_mix([]) is None
    assert usual_of_mix([(0, 300)]) is None


@pytest.mark.parametrize("part", [(-1, 300), (1, 0)])
def test_an_impossible_part_is_refused(part: tuple[float, float]) -> None:
    with pytest.raises(BadQuantity):
        usual_of_mix([part])
