"""Field capacity and planting rates."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from shared_models.core.units import feet_to_mm, inches_to_mm
from shared_models.trade.pace.pace import (
    TimedRow,
    field_capacity_acres_per_h,
    field_capacity_hectares_per_h,
    plants_per_hour,
    total,
    turns,
)

if TYPE_CHECKING:
    from tests.published.conftest import Check

PM_696 = (
    "Iowa State University Extension PM 696, Estimating field capacity of farm machines, rev. April 2001, table "
    "(as quoted in a copy of the publication)"
)
EP496 = "ASABE EP496, equation for effective field capacity (as quoted in a calculator page); plain arithmetic"
PRACTICE = "common practice, no source"
IDENTITY = "plain arithmetic: plants per hour = row feet per hour x 12 / spacing in inches"


@pytest.mark.parametrize(
    ("width_ft", "mph", "efficiency", "printed"),
    [
        (40, 6, 0.70, 20.4),
        (50, 6, 0.70, 25.5),
        (10, 5, 0.63, 3.8),
        (15, 5, 0.63, 5.7),
        (15, 6, 0.63, 6.9),
        (20, 6, 0.63, 9.2),
        (30, 6, 0.60, 13.1),
        (22.5, 5, 0.65, 8.9),  # 9 knives; the 30 in between them is inferred from the fit
        (32.5, 5, 0.65, 12.8),  # 13 knives
        (42.5, 5, 0.63, 16.2),  # 17 knives
        (10, 5, 0.85, 5.2),  # 5 rows of 24 in
        (7 * 16 / 12, 5, 0.85, 4.8),
        (8 * 16 / 12, 5, 0.85, 5.5),
        (12, 5, 0.85, 6.2),
        (15, 5, 0.83, 7.5),
        (18, 5, 0.83, 9.1),
        (11.25, 5.5, 0.85, 6.4),
        (13.75, 5.5, 0.85, 7.8),
        (16.25, 5.5, 0.83, 9.0),
        (14, 5, 0.85, 7.2),
        (17.5, 5, 0.83, 8.8),
        (12.5, 5, 0.85, 6.4),
    ],
)
def test_acres_per_hour(published: Check, width_ft: float, mph: float, efficiency: float, printed: float) -> None:
    case = f"{width_ft:.4g} ft at {mph:g} mph, efficiency {efficiency:.2f}: acres/h"
    published(PM_696, case, field_capacity_acres_per_h(mph, width_ft, efficiency), printed, 0.05)


@pytest.mark.parametrize(("mph", "width_ft", "efficiency", "printed"), [(4, 10, 0.75, 3.636), (5, 12, 0.80, 5.818)])
def test_acres_per_hour_by_the_equation(
    published: Check, mph: float, width_ft: float, efficiency: float, printed: float
) -> None:
    case = f"{mph:g} mph x {width_ft:g} ft x {efficiency:.2f} / 8.25: acres/h"
    published(EP496, case, field_capacity_acres_per_h(mph, width_ft, efficiency), printed, 0.0005)


@pytest.mark.parametrize(("km_h", "width_m", "efficiency", "printed"), [(5, 2.5, 0.85, 1.0625), (6, 3.0, 0.80, 1.44)])
def test_hectares_per_hour_by_the_equation(
    published: Check, km_h: float, width_m: float, efficiency: float, printed: float
) -> None:
    case = f"{km_h:g} km/h x {width_m:g} m x {efficiency:.2f} / 10: ha/h"
    published(EP496, case, field_capacity_hectares_per_h(km_h, width_m, efficiency), printed, 1e-9)


def test_an_acre_and_a_hectare_per_hour_are_the_same_work(published: Check) -> None:
    acres = field_capacity_acres_per_h(5 / 1.609344, 2.5 / 0.3048, 0.85)
    published(
        "international acre, 0.40468564224 ha (exact)",
        "5 km/h, 2.5 m, 0.85 in ha/h",
        acres * 0.40468564224,
        1.0625,
        1e-9,
    )


def test_acres_over_hours_of_field_time_give_the_capacity_back(published: Check) -> None:
    """PM 696 defines capacity as acres over hours of actual field time; the table's 10-ft machine, run row by row."""
    start = datetime(2026, 5, 4, 12, tzinfo=UTC)
    pass_s = feet_to_mm(1000) / (feet_to_mm(5 * 5280) / 3600)
    lost_s = pass_s / 0.63 - pass_s
    gap = timedelta(seconds=pass_s + lost_s)
    rows = [TimedRow(start + n * gap, pass_s, 0.0, feet_to_mm(1000), 50.8, 1) for n in range(200)]
    done = total(turns(rows))
    assert done.effective_mm_per_h is not None
    assert done.field_efficiency is not None

    acres_per_h = done.effective_mm_per_h / 304.8 * 10 / 43_560

    published(PM_696, "10 ft at 5 mph from 200 timed rows: acres/h", acres_per_h, 3.8, 0.05)
    published(PM_696, "efficiency from 200 timed rows", done.field_efficiency, 0.63, 0.005)


@pytest.mark.parametrize(("spacing_in", "plants"), [(2, 6000), (4, 3000), (6, 2000)])
def test_plants_per_hour_at_a_thousand_row_feet(published: Check, spacing_in: float, plants: float) -> None:
    got = plants_per_hour(feet_to_mm(1000), inches_to_mm(spacing_in))
    published(IDENTITY, f"1,000 ft/h at {spacing_in} in: plants/h", got, plants, 1e-6)


def test_one_person_sets_four_hundred_feet_in_half_an_hour(published: Check) -> None:
    done = total([TimedRow(datetime(2026, 5, 4, 12, tzinfo=UTC), 1800.0, 0.0, feet_to_mm(400), inches_to_mm(2), 1)])
    assert done.effective_mm_per_h is not None
    assert done.plants_per_person_h is not None

    published(PRACTICE, "400 ft in half an hour: ft/h", done.effective_mm_per_h / 304.8, 800, 1e-6)
    published(PRACTICE, "400 ft of a 2-in crop in half an hour: plants/h", done.plants_per_person_h, 4800, 1e-6)
