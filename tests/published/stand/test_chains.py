"""Trays, chains and sowing days of a bed."""

from datetime import date

import pytest

from shared_models.core.units import feet_to_mm, inches_to_mm, mm_to_feet
from shared_models.trade.chain import lay_chains, plants_in_bed, trays_for
from shared_models.trade.planning.sowing_plan import (
    FarmRates,
    PlantingWish,
    Week,
    bench_by_week,
    hours_by_week,
    plan_sowing,
    totals,
)
from shared_models.trade.stand.stand import fill_list, planted_stand
from tests.published.conftest import Check

PRACTICE = "common practice, no source: 264 cells make 44, 88 or 132 ft of row; worked out by hand"
DELAWARE = (
    "University of Delaware, Weekly Crop Update, onions grow 9 weeks at least, seen on the university's page; days "
    "counted back by hand"
)
ISO_8601 = "ISO 8601, weeks that belong to the year before or after (from memory)"

RATES = FarmRates(
    mix_l_per_tray=4, tray_m2=0.2, trays_sown_per_h=6, row_mm_per_h=feet_to_mm(400), tending_h_per_tray_week=0.1
)


@pytest.mark.parametrize(
    ("spacing_in", "plants", "trays", "left"), [(2, 3000, 12, 168), (4, 1500, 6, 84), (6, 1000, 4, 56)]
)
def test_five_rows_of_100_feet(published: Check, spacing_in: float, plants: int, trays: int, left: int) -> None:
    row_mm, spacing_mm = feet_to_mm(100), inches_to_mm(spacing_in)

    bed = lay_chains(5, row_mm, spacing_mm)

    published(PRACTICE, f"plants at {spacing_in} in", plants_in_bed(5, row_mm, spacing_mm), plants, 0)
    published(PRACTICE, f"trays at {spacing_in} in", trays_for(plants), trays, 0)
    published(PRACTICE, f"cells left over at {spacing_in} in", bed.left_cells, left, 0)


@pytest.mark.parametrize(
    ("chain", "row", "feet"), [(1, 1, 44), (2, 1, 88), (3, 2, 32), (4, 2, 76), (5, 3, 20), (12, 5, 100)]
)
def test_chains_of_44_feet_end_in_rows_of_100(published: Check, chain: int, row: int, feet: float) -> None:
    end = lay_chains(5, feet_to_mm(100), inches_to_mm(2)).ends[chain - 1]

    published(PRACTICE, f"row in which chain {chain} ends", end.row, row, 0)
    published(PRACTICE, f"feet along it at which chain {chain} ends", mm_to_feet(end.along_mm), feet, 1e-9)


def test_a_bed_of_onions_is_worked_back_to_its_sowing(published: Check) -> None:
    wish = PlantingWish("P1", "B1", "onion", date(2026, 5, 4), 5, feet_to_mm(100), inches_to_mm(2), grow_days=9 * 7)

    sowing = plan_sowing(wish, RATES)
    hours = hours_by_week([sowing], RATES)

    published(DELAWARE, "days from 2 March 2026 to the sowing", (sowing.sow_on - date(2026, 3, 2)).days, 0, 0)
    published(PRACTICE, "liters of mix for 12 trays of 4", totals([sowing]).mix_l, 48, 1e-9)
    published(
        PRACTICE, "weeks with 12 trays on the bench", sum(w.trays == 12 for w in bench_by_week([sowing], RATES)), 9, 0
    )
    published(PRACTICE, "hours to sow 12 trays at 6 an hour", hours[0].sowing_h, 2, 1e-9)
    published(PRACTICE, "hours to tend 12 trays for 9 weeks", sum(week.tending_h for week in hours), 10.8, 1e-9)
    published(PRACTICE, "hours to plant 500 ft at 400 ft an hour", hours[-1].planting_h, 1.25, 1e-9)


@pytest.mark.parametrize(
    ("day", "year", "week"),
    [
        (date(2027, 1, 1), 2026, 53),
        (date(2024, 12, 30), 2025, 1),
        (date(2026, 1, 1), 2026, 1),
        (date(2023, 1, 1), 2022, 52),
    ],
)
def test_weeks_around_new_year(published: Check, day: date, year: int, week: int) -> None:
    got = Week.of(day)

    published(ISO_8601, f"{day}: year", got.year, year, 0)
    published(ISO_8601, f"{day}: week", got.number, week, 0)


def test_misses_and_spares_of_a_tray(published: Check) -> None:
    published(PRACTICE, "stand of 264 cells with 12 misses, 6 filled", planted_stand(264, 12, 6), 258 / 264, 1e-12)
    published(PRACTICE, "spares for 18 open misses and a tenth more", fill_list([(1, 12, 6), (2, 12, 0)]).spares, 20, 0)
