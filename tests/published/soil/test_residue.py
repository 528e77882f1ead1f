"""Residue cover along a tape."""

import pytest

from shared_models.trade.soil.residue import Transect, residue_cover
from tests.published.conftest import Check

MISSOURI = "University of Missouri Extension G1570 (October 1993), seen at extension.missouri.edu"
ILLINOIS = "University of Illinois, 60 Ways Farmers Can Protect Surface Water, no. 4, seen on the university's page"
NEBRASKA = "University of Nebraska-Lincoln, biosysengfacpub 254, seen at digitalcommons.unl.edu"
WILSON = "Wilson score interval, computed with statsmodels 0.15.0 (proportion_confint, method wilson)"


@pytest.mark.parametrize(
    ("source", "case", "hits", "marks", "percent"),
    [
        (MISSOURI, "44 of 100 foot marks", 44, 100, 44),
        (MISSOURI, "marks 1, 3, 8 and 9 of 10, figure 1", 4, 10, 40),
        (ILLINOIS, "40 of 100 knots", 40, 100, 40),
        (NEBRASKA, "15 of 50 marks: hits × 2", 15, 50, 30),
    ],
)
def test_cover_is_hits_per_hundred_marks(
    published: Check, source: str, case: str, hits: int, marks: int, percent: float
) -> None:
    published(source, f"cover, {case}, %", residue_cover([Transect(hits, marks)]).percent, percent, 1e-9)


@pytest.mark.parametrize(("hits", "low", "high"), [(44, 34.672, 53.772), (40, 30.940, 49.800)])
def test_range_of_one_tape_of_100_marks(published: Check, hits: int, low: float, high: float) -> None:
    cover = residue_cover([Transect(hits, 100)])

    published(WILSON, f"{hits} of 100, low, %", cover.low_percent, low, 5e-4)
    published(WILSON, f"{hits} of 100, high, %", cover.high_percent, high, 5e-4)
