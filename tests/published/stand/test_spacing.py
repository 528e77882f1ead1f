"""Evenness of spacing from a tape sample."""

import random
from math import sqrt

import pytest

from shared_models.core.units import inches_to_mm
from shared_models.trade.stand.spacing import Evenness, evenness, missing_plants
from tests.published.conftest import Check

IOWA = (
    "Iowa State University Extension, Plant uniformity measurements, after Kachman & Smith, Transactions of the ASAE "
    "38(2):379-387 (1995), seen at crops.extension.iastate.edu"
)
BRACY = "R. P. Bracy & R. L. Parish, HortTechnology, on ISO 7256-1, as quoted in a copy at scribd"
OURS = "our own made-up sample; indices computed by hand, spread with Python's statistics"
GAPS_IN = [6, 6.5, 5.5, 12, 6, 2, 6.2, 5.8, 18.5, 6.4, 5.9, 3.0, 9.0, 6.1, 6.3, 5.7, 6.0, 11.5, 6.6, 5.4]


@pytest.fixture
def sample() -> Evenness:
    """Twenty gaps at a set spacing of 6 in, two of them exactly on a boundary."""
    return evenness([inches_to_mm(gap) for gap in GAPS_IN], inches_to_mm(6))


def test_indices_of_the_sample(published: Check, sample: Evenness) -> None:
    published(OURS, "multiples index D", sample.multiples_index, 0.10, 1e-12)
    published(OURS, "miss index M", sample.miss_index, 0.15, 1e-12)
    published(OURS, "quality of feed A", sample.quality_of_feed, 0.75, 1e-12)


def test_both_definitions_of_precision_in_print(published: Check, sample: Evenness) -> None:
    """C divides by the set spacing; the coefficient of variation divides by the singles' own mean."""
    assert sample.precision is not None
    assert sample.singles_cv is not None

    published(OURS, "precision C, s over set spacing", sample.precision, 0.14008, 5e-6)
    published(OURS, "the other in print, s over mean of singles", sample.singles_cv, 0.13498, 5e-6)


@pytest.mark.parametrize(
    ("of_set_spacing", "multiples", "singles", "misses"),
    [(0.5, 1, 0, 0), (0.500001, 0, 1, 0), (1.5, 0, 1, 0), (1.500001, 0, 0, 1)],
)
def test_boundaries_belong_to_the_lower_class(
    published: Check, of_set_spacing: float, multiples: int, singles: int, misses: int
) -> None:
    """At most one half is a multiple, more than half but no more than 1.5 a single, greater than 1.5 a miss."""
    found = evenness([of_set_spacing * 50.8], 50.8)

    published(BRACY, f"multiple at {of_set_spacing} of the set spacing", found.multiples, multiples, 0)
    published(BRACY, f"single at {of_set_spacing} of the set spacing", found.singles, singles, 0)
    published(BRACY, f"miss at {of_set_spacing} of the set spacing", len(found.skips), misses, 0)


@pytest.mark.parametrize(
    ("gap_in", "missing"), [(3, 0), (9, 0), (12, 1), (11.5, 1), (15, 1), (18.5, 2), (21, 2), (21.1, 3)]
)
def test_skip_lengths_follow_the_divisions(published: Check, gap_in: float, missing: int) -> None:
    got = missing_plants(inches_to_mm(gap_in), inches_to_mm(6))

    published(IOWA, f"plants missing in {gap_in} in at 6 in", got, missing, 0)


def test_the_teaching_example_of_100_spacings(published: Check) -> None:
    """The notes divide by the mean spacing, the standard by the set spacing; the counts are the notes' own."""
    found = evenness([100.0] * 87 + [160.0] * 8 + [45.0] * 5, 100.0)

    source = "exam notes, 100 spacings with 8 long and 5 short, as quoted"
    published(source, "miss index", found.miss_index, 0.08, 1e-12)
    published(source, "multiples index", found.multiples_index, 0.05, 1e-12)
    published(source, "quality of feed", found.quality_of_feed, 0.87, 1e-12)


def test_singles_spread_all_over_their_class_reach_the_practical_limit_of_precision(published: Check) -> None:
    """The 29 % limit recalled from Kachman & Smith is the spread of an even distribution, 1/√12."""
    rng = random.Random(264)
    singles = [rng.uniform(0.5, 1.5) * 50.8 for _ in range(20_000)]

    precision = evenness(singles, 50.8).precision

    assert precision is not None
    published("computed as 1/√12, seed 264", "precision of even chance", precision, 1 / sqrt(12), 0.002)
    published("Kachman & Smith (1995), from memory", "practical upper limit of precision", precision, 0.29, 0.005)


def test_singles_heaped_on_both_ends_reach_the_theoretical_limit_of_precision(published: Check) -> None:
    heaped = [0.5 * 50.8 + 1e-6, 1.5 * 50.8] * 5_000

    precision = evenness(heaped, 50.8).precision

    assert precision is not None
    published("Kachman & Smith (1995), from memory", "theoretical upper limit of precision", precision, 0.50, 0.0005)
