"""Age of transplants."""

from datetime import date

import pytest

from shared_models.trade.raising.growing_time import Guide, growing_time, readiness_window
from tests.published.conftest import Check

DELAWARE = (
    "University of Delaware, Weekly Crop Update, after Mid-Atlantic recommendations table A-4: weeks to grow, seen on "
    "the university's page"
)
UTAH = (
    "Utah State University Extension, Grow your own transplants: days to germination, then weeks to transplanting, "
    "seen on the extension's page at issuu.com"
)
MEMORY = "from memory: weeks from sowing to planting"


@pytest.mark.parametrize(
    ("crop", "first", "last"),
    [
        *[("lettuce", 4, 6), ("onion", 9, 12), ("broccoli", 4, 7), ("cabbage", 6, 7), ("cauliflower", 6, 8)],
        *[("tomato", 5, 6), ("pepper", 7, 9), ("eggplant", 6, 9), ("cucumber", 2, 4), ("melon", 2, 4)],
        ("squash", 2, 4),
    ],
)
def test_weeks_to_grow(published: Check, crop: str, first: int, last: int) -> None:
    got = growing_time(crop, Guide.MID_ATLANTIC)

    assert got is not None
    published(DELAWARE, f"{crop}: first week", got.first_days / 7, first, 0)
    published(DELAWARE, f"{crop}: last week", got.last_days / 7, last, 0)


@pytest.mark.parametrize(
    ("crop", "sprouts", "weeks"),
    [
        ("lettuce", (6, 8), (3, 5)),
        ("onion", (7, 10), (8, 8)),
        ("cabbage", (4, 10), (5, 7)),
        ("celery", (9, 21), (10, 12)),
    ],
)
def test_weeks_from_germination(published: Check, crop: str, sprouts: tuple[int, int], weeks: tuple[int, int]) -> None:
    got = growing_time(crop, Guide.UTAH)

    assert got is not None
    published(UTAH, f"{crop}: earliest weeks after germination", (got.first_days - sprouts[0]) / 7, weeks[0], 0)
    published(UTAH, f"{crop}: latest weeks after germination", (got.last_days - sprouts[1]) / 7, weeks[1], 0)


@pytest.mark.parametrize(("crop", "first", "last"), [("leek", 8, 12), ("scallion", 6, 8)])
def test_weeks_from_memory_say_so(published: Check, crop: str, first: int, last: int) -> None:
    got = growing_time(crop)

    assert got is not None
    assert got.guide is Guide.MEMORY
    published(MEMORY, f"{crop}: first week", got.first_days / 7, first, 0)
    published(MEMORY, f"{crop}: last week", got.last_days / 7, last, 0)


def test_a_window_of_onions(published: Check) -> None:
    time = growing_time("onion")
    assert time is not None

    window = readiness_window(date(2026, 2, 2), time)

    published(DELAWARE, "onion: days to first planting", (window.ready_from - date(2026, 2, 2)).days, 63, 0)
    assert (window.ready_from, window.ready_until) == (date(2026, 4, 6), date(2026, 4, 27))
