"""Labor of planting by hand, as a plausible band."""

import pytest

from shared_models.core.units import feet_to_mm
from shared_models.trade.planning.cost import HandSetting, Inputs, Prices, chain_cost, hand_set_cost
from tests.published.conftest import Check

WATTS = (
    "R. L. Watts, Vegetable Gardening (1912) §207 and transplanting, as quoted in transcriptions; a 10-h day assumed"
)
HOURS_ONLY = Prices(hour=1.0, seed=0.0, chain=0.0, mix=0.0, plug=0.0)
"""With an hour worth 1, labor is counted in person-hours."""


def test_four_people_for_a_day_over_1200_flats_cost_26_7_cents_each(published: Check) -> None:
    inputs = Inputs(length_mm=1, positions=1200, stand=1, person_hours=4 * 8, trays=0, seeds=0)

    labor = chain_cost(inputs, Prices(hour=10, seed=0, chain=0, mix=0, plug=0)).shared_by(1200).labor

    source = "J. W. Bartok, trade column on labor per flat, as quoted"
    published(source, "labor per flat, dollars", labor, 0.267, 5e-4)


@pytest.mark.parametrize(
    ("case", "plants", "rate"),
    [("few men set as many", 8_000, 800), ("most fall below", 5_000, 500)],
)
def test_a_day_of_setting_by_hand(published: Check, case: str, plants: float, rate: float) -> None:
    hours = hand_set_cost(plants, HandSetting(plants_per_person_hour=rate, stand=1), HOURS_ONLY).labor

    published(WATTS, f"{plants:,} plants a day ({case}), person-hours", hours, 10, 1e-9)


@pytest.mark.parametrize(("plants", "rate"), [(40_000, 286), (50_000, 357)])
def test_a_crew_of_fourteen_for_a_day(published: Check, plants: float, rate: float) -> None:
    hours = hand_set_cost(plants, HandSetting(plants_per_person_hour=rate, stand=1), HOURS_ONLY).labor

    published(WATTS, f"{plants:,} plants by 12 boys and 2 men, person-hours", hours, 14 * 10, 0.3)


def test_the_greenhouse_hours_of_sticking_cuttings(published: Check) -> None:
    hours = hand_set_cost(1_316_111, HandSetting(plants_per_person_hour=624, stand=1), HOURS_ONLY).labor

    source = "HortScience 53(8):1133 (2018), abstract seen at journals.ashs.org; rate 624/h computed"
    published(source, "hours for 1,316,111 cuttings", hours, 2_109, 1)


def test_pulling_a_chain_is_far_outside_the_band_of_setting_by_hand(published: Check) -> None:
    """400 ft of a 2-in crop in half an hour is 2,400 plants; by hand at 300 to 800 an hour that is 3 to 8 hours."""
    chain = Inputs(length_mm=feet_to_mm(400), positions=2_400, stand=1, person_hours=0.5, trays=10, seeds=0)
    by_hand = [
        hand_set_cost(2_400, HandSetting(plants_per_person_hour=rate, stand=1), HOURS_ONLY).labor for rate in (800, 300)
    ]

    published(
        "common practice, no source",
        "plants per person-hour",
        2_400 / chain_cost(chain, HOURS_ONLY).labor,
        4_800,
        1e-9,
    )
    published(WATTS, "person-hours at the quick end of the band", by_hand[0], 3, 1e-9)
    published(WATTS, "person-hours at the slow end of the band", by_hand[1], 8, 1e-9)
