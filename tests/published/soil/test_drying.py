"""Drying of the soil surface."""

from datetime import date, timedelta

import pytest

from shared_models.trade.soil.drydown import DayState, Ground, dry_day
from shared_models.trade.soil.evaporation import FAO_SOILS, SurfaceSoil
from shared_models.trade.weather.weather import DayWeather
from tests.published.conftest import Check

FAO = "Allen et al. (1998), FAO Irrigation and Drainage Paper 56"
TEST_DATA = "as quoted in the test data of a public-domain model (USGS Soil-Water-Balance, FAO56_Example_35)"
TABLE_19 = f"{FAO}, table 19, as quoted in a copy of fao.org/3/x0490e/x0490e0c.htm"
TABLE_19_MEMORY = f"{FAO}, table 19, from memory"

HALF_A_MM = 0.5
#: Kc max of example 35, by its equation 72 (printed 1.21).
KC_MAX = 1.2 + (0.04 * (1.6 - 2) - 0.004 * (35 - 45)) * (0.3 / 3) ** 0.3
A_HUNDREDTH = 0.01

#: ETo, rain, fw, few, Kcb -> printed De start, Kr, Ke, evaporation/few, drained, De end, mean evaporation
EXAMPLE_35 = [
    (4.5, 0, 0.8, 0.80, 0.30, 0, 1.00, 0.91, 5.1, 32, 5, 4.1),
    (5.0, 0, 0.8, 0.80, 0.31, 5, 1.00, 0.90, 5.6, 0, 11, 4.5),
    (3.9, 0, 0.8, 0.80, 0.32, 11, 0.72, 0.64, 3.1, 0, 14, 2.5),
    (4.2, 0, 0.8, 0.80, 0.33, 14, 0.41, 0.36, 1.9, 0, 16, 1.5),
    (4.8, 0, 0.8, 0.80, 0.34, 16, 0.22, 0.19, 1.1, 0, 17, 0.9),
    (2.7, 6, 1.0, 0.89, 0.36, 11, 0.71, 0.60, 1.8, 0, 13, 1.6),
    (5.8, 0, 1.0, 0.88, 0.37, 13, 0.52, 0.44, 2.9, 0, 16, 2.6),
    (5.1, 0, 1.0, 0.87, 0.38, 16, 0.23, 0.19, 1.1, 0, 17, 1.0),
    (4.7, 0, 1.0, 0.87, 0.39, 17, 0.12, 0.10, 0.5, 0, 17, 0.5),
    (5.2, 0, 1.0, 0.86, 0.40, 17, 0.07, 0.05, 0.3, 0, 18, 0.3),
]


def replay_example_35() -> list[DayState]:
    """Ten days on a dry sandy loam: 40 mm of irrigation on 0.8 of the ground on day 1, 6 mm of rain on day 6."""
    soil, depletion, states = SurfaceSoil(8, 18), 18.0, list[DayState]()
    for number, (eto, rain, wetted, exposed, kcb, *_) in enumerate(EXAMPLE_35):
        day = DayWeather(date(2024, 5, 1) + timedelta(days=number), rain, 40 if number == 0 else 0)
        states.append(dry_day(day, eto, soil, depletion, Ground(kcb, KC_MAX, wetted, exposed)))
        depletion = states[-1].depletion_end_mm
    return states


@pytest.mark.parametrize("number", range(1, 11))
def test_ten_days_of_example_35(published: Check, number: int) -> None:
    """The state is carried unrounded; the example carries whole millimeters."""
    *_, start, kr, ke, lost, drained, end, evaporation = EXAMPLE_35[number - 1]
    exposed = EXAMPLE_35[number - 1][3]
    state = replay_example_35()[number - 1]
    source = f"{FAO}, example 35, {TEST_DATA}"

    published(source, f"day {number}: De start, mm", state.depletion_start_mm, start, HALF_A_MM)
    published(source, f"day {number}: Kr", state.kr, kr, A_HUNDREDTH)
    published(source, f"day {number}: Ke", state.ke, ke, A_HUNDREDTH)
    published(source, f"day {number}: evaporation of the wet part, mm", state.evaporation_mm / exposed, lost, 0.06)
    published(source, f"day {number}: drained, mm", state.drained_mm, drained, 1e-9)
    published(source, f"day {number}: De end, mm", state.depletion_end_mm, end, HALF_A_MM)
    published(source, f"day {number}: mean evaporation, mm", state.evaporation_mm, evaporation, 0.06)


@pytest.mark.parametrize(
    ("number", "kc", "etc_mm"), [(1, 1.21, 5.5), (2, 1.21, 6.1), (3, 0.97, 3.8), (4, 0.69, 2.9), (5, 0.54, 2.6)]
)
def test_crop_coefficient_and_water_use_of_example_35(published: Check, number: int, kc: float, etc_mm: float) -> None:
    eto, kcb = EXAMPLE_35[number - 1][0], EXAMPLE_35[number - 1][4]
    got = kcb + replay_example_35()[number - 1].ke
    source = f"{FAO}, example 35, {TEST_DATA}"

    published(source, f"day {number}: Kc", got, kc, A_HUNDREDTH)
    published(source, f"day {number}: ETc, mm", got * eto, etc_mm, 0.06)


@pytest.mark.parametrize(
    ("source", "soil", "rew_mm", "tew_mm"),
    [
        (TABLE_19, "sand", (2, 7), (6, 12)),
        (TABLE_19, "loamy sand", (4, 8), (9, 14)),
        (TABLE_19, "sandy loam", (6, 10), (15, 20)),
        (TABLE_19, "loam", (8, 10), (16, 22)),
        (TABLE_19, "silt loam", (8, 11), (18, 25)),
        (TABLE_19_MEMORY, "silt", (8, 11), (22, 26)),
        (TABLE_19, "silt clay loam", (8, 11), (22, 27)),
        (TABLE_19_MEMORY, "silty clay", (8, 12), (22, 28)),
        (TABLE_19, "clay", (8, 12), (22, 29)),
    ],
)
def test_water_that_leaves_fast_and_at_all(
    published: Check, source: str, soil: str, rew_mm: tuple[int, int], tew_mm: tuple[int, int]
) -> None:
    row = FAO_SOILS[soil]

    for name, got, printed in (("REW", row.rew_mm, rew_mm), ("TEW", row.tew_mm, tew_mm)):
        published(source, f"{name} of {soil}, low, mm", got.low, printed[0], 0)
        published(source, f"{name} of {soil}, high, mm", got.high, printed[1], 0)
