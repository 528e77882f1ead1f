"""Plants per acre and per hectare, and the row to count in."""

import pytest

from shared_models.core.units import feet_to_mm, inches_to_mm, mm_to_feet
from shared_models.trade.chain import chain_mm, plants_in_row
from shared_models.trade.stand.population import (
    counted_per_acre,
    counted_per_hectare,
    mean_row_spacing_mm,
    plants_per_acre,
    plants_per_hectare,
    row_mm_per_acre,
    thousandth_acre_row_mm,
)
from tests.published.conftest import Check

BAILEY = (
    "L. H. Bailey, Farm and Garden Rule-Book (Macmillan, 1911), number of plants required to set an acre, "
    "as quoted in the transcription at chestofbooks.com"
)
COMMERCIAL = (
    "Commercial Gardening vol. 3, laying out land and planting, as quoted in the transcription at chestofbooks.com"
)
POTATO = "Table 1 of a regional potato growers' periodical, March 2021, p. 12, seen on the periodical's own page"
TENNESSEE = "University of Tennessee crops news, Checking corn populations (April 2011), seen at news.utcrops.com"
WISCONSIN = "UW Extension Discovery Farms, Taking a stand count (26 May 2010), seen at fyi.extension.wisc.edu"
PRACTICE = "common practice, no source"
EXACT = "computed exactly from the definition of the acre"

ROUND_OR_CUT = 1.0
"""Printed tables differ by a plant, because some round and some cut off."""
HALF_AN_INCH_FT = 0.5 / 12


@pytest.mark.parametrize(
    ("source", "spacing_in", "row_spacing_in", "printed"),
    [
        (BAILEY, 1, 1, 6_272_640),
        (BAILEY, 2, 2, 1_568_160),
        (BAILEY, 2, 4, 784_080),
        (BAILEY, 4, 7, 224_022),
        (BAILEY, 24, 36, 7_260),
        (COMMERCIAL, 30, 12, 17_424),
        (COMMERCIAL, 30, 30, 6_969),
        (POTATO, 34, 6, 30_748),
        (POTATO, 36, 7, 24_891),
    ],
)
def test_plants_per_acre_are_those_of_the_tables(
    published: Check, source: str, spacing_in: float, row_spacing_in: float, printed: float
) -> None:
    got = plants_per_acre(inches_to_mm(spacing_in), inches_to_mm(row_spacing_in))

    published(source, f"plants per acre at {spacing_in} × {row_spacing_in} in", got, printed, ROUND_OR_CUT)


@pytest.mark.parametrize(("inches", "printed"), [(6, 1089), (12, 272)])
def test_plants_per_square_rod_are_those_of_the_table(published: Check, inches: float, printed: float) -> None:
    square_rods_per_acre = 160

    got = plants_per_acre(inches_to_mm(inches), inches_to_mm(inches)) / square_rods_per_acre

    published(COMMERCIAL, f"plants per square rod at {inches} × {inches} in", got, printed, ROUND_OR_CUT)


def test_celery_at_4_by_24_inches_is_the_round_figure_in_print(published: Check) -> None:
    got = plants_per_acre(inches_to_mm(4), inches_to_mm(24))

    source = "R. L. Watts, Vegetable Gardening (1912) §407, as quoted in the transcription at bookdome.com"
    published(source, "celery, plants per acre at 4 × 24 in, a round figure", got, 65_000, 650)


def test_plants_per_hectare_are_those_of_the_teaching_notes(published: Check) -> None:
    got = plants_per_hectare(200, 600)

    counted = counted_per_hectare(50, 10_000, 600)
    source = "teaching notes on plant population, as quoted"
    published(source, "plants per ha at 0.6 × 0.2 m", got, 83_333, 0.5)
    published(source, "plants per ha, 50 counted along 10 m at 0.6 m", counted, 83_333, 0.5)


@pytest.mark.parametrize(
    ("source", "row_spacing_in", "feet", "inches"),
    [
        (TENNESSEE, 15, 34, 10),
        (TENNESSEE, 20, 26, 2),
        (TENNESSEE, 30, 17, 5),
        (EXACT, 6, 87, 1),
        (EXACT, 7, 74, 8),
        (EXACT, 7.5, 69, 8),
        (EXACT, 8, 65, 4),
        (EXACT, 10, 52, 3),
        (EXACT, 12, 43, 7),
        (EXACT, 28, 18, 8),
        (EXACT, 32, 16, 4),
        (EXACT, 34, 15, 4),
        (EXACT, 40, 13, 1),
    ],
)
def test_a_thousandth_of_an_acre_is_the_row_length_of_the_tables(
    published: Check, source: str, row_spacing_in: float, feet: float, inches: float
) -> None:
    got = mm_to_feet(thousandth_acre_row_mm(inches_to_mm(row_spacing_in)))

    published(source, f"feet of {row_spacing_in}-in row", got, feet + inches / 12, HALF_AN_INCH_FT)


def test_the_misprint_for_20_inch_rows_is_ten_feet_off(published: Check) -> None:
    """The Wisconsin table prints 36 ft 2 in where 26 ft 2 in is right; its 15 and 30 in rows are right."""
    for row_spacing_in, feet in ((15, 34 + 10 / 12), (30, 17 + 5 / 12)):
        got = mm_to_feet(thousandth_acre_row_mm(inches_to_mm(row_spacing_in)))
        published(WISCONSIN, f"feet of {row_spacing_in}-in row", got, feet, HALF_AN_INCH_FT)

    misprint_ft = 36 + 2 / 12
    got = mm_to_feet(thousandth_acre_row_mm(inches_to_mm(20)))

    assert misprint_ft - got == pytest.approx(10, abs=HALF_AN_INCH_FT)


@pytest.mark.parametrize(("feet", "printed"), [(100, 26_136), (75, 34_848), (87.12, 30_000)])
def test_150_plants_along_a_wheel_give_the_population(published: Check, feet: float, printed: float) -> None:
    got = counted_per_acre(150, feet_to_mm(feet), inches_to_mm(30))

    source = "rule of University of Illinois Extension, Corn stand count; figures computed exactly"
    published(source, f"plants per acre, 150 plants in {feet} ft of 30-in row", got, printed, 1e-6)


@pytest.mark.parametrize(
    ("spacing_in", "per_100_ft", "tray_ft", "per_acre"),
    [(2, 600, 44, 261_360), (4, 300, 88, 130_680), (6, 200, 132, 87_120)],
)
def test_the_three_chains_plant_what_the_trade_says(
    published: Check, spacing_in: float, per_100_ft: float, tray_ft: float, per_acre: float
) -> None:
    spacing_mm = inches_to_mm(spacing_in)

    published(PRACTICE, f"plants in 100 ft at {spacing_in} in", plants_in_row(30480, spacing_mm), per_100_ft, 0)
    published(PRACTICE, f"feet per 264-cell tray at {spacing_in} in", mm_to_feet(chain_mm(spacing_mm)), tray_ft, 1e-9)
    published(EXACT, f"per acre, {spacing_in} in × 12 in", plants_per_acre(spacing_mm, 304.8), per_acre, 1e-6)


def test_an_acre_in_12_inch_rows_holds_43560_feet_of_row(published: Check) -> None:
    published(EXACT, "row feet per acre, 12-in rows", mm_to_feet(row_mm_per_acre(304.8)), 43_560, 1e-6)


def test_four_rows_on_a_4_foot_bed_count_as_12_inch_rows(published: Check) -> None:
    published(EXACT, "row spacing, 4 rows on 48-in beds", mean_row_spacing_mm(4, inches_to_mm(48)), 304.8, 1e-9)
