"""Field capacity and planting rates."""

from datetime import UTC, datetime, timedelta

from shared_models.core.units import feet_to_mm, inches_to_mm
from shared_models.trade.pace.pace import (
    TimedRow,
    Work,
    turns,
    work,
)
from tests.published.conftest import Check

PM_696 = (
    "Iowa State University Extension PM 696, Estimating field capacity of farm machines, rev. April 2001, table "
    "(as quoted in a copy of the publication)"
)
PRACTICE = "common practice, no source"


def test_acres_over_hours_of_field_time_give_the_capacity_back(published: Check) -> None:
    """PM 696 defines capacity as acres over hours of actual field time; the table's 10-ft machine, run row by row."""
    start = datetime(2026, 5, 4, 12, tzinfo=UTC)
    pass_s = feet_to_mm(1000) / (feet_to_mm(5 * 5280) / 3600)
    lost_s = pass_s / 0.63 - pass_s
    gap = timedelta(seconds=pass_s + lost_s)
    rows = [TimedRow(start + n * gap, pass_s, 0.0, feet_to_mm(1000), 50.8, 1) for n in range(200)]
    done = Work.together(map(work, turns(rows)))
    assert done.effective_mm_per_h is not None
    assert done.field_efficiency is not None

    acres_per_h = done.effective_mm_per_h / 304.8 * 10 / 43_560

    published(PM_696, "10 ft at 5 mph from 200 timed rows: acres/h", acres_per_h, 3.8, 0.05)
    published(PM_696, "efficiency from 200 timed rows", done.field_efficiency, 0.63, 0.005)


def test_one_person_sets_four_hundred_feet_in_half_an_hour(published: Check) -> None:
    start = datetime(2026, 5, 4, 12, tzinfo=UTC)
    done = work(TimedRow(start, 1800.0, 0.0, feet_to_mm(400), inches_to_mm(2), 1))
    assert done.effective_mm_per_h is not None
    assert done.plants_per_person_h is not None

    published(PRACTICE, "400 ft in half an hour: ft/h", done.effective_mm_per_h / 304.8, 800, 1e-6)
    published(PRACTICE, "400 ft of a 2-in crop in half an hour: plants/h", done.plants_per_person_h, 4800, 1e-6)
