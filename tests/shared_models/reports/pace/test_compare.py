"""Two lines of a report of rates, compared planting by planting."""

import pytest

from shared_models.core.units import mm_to_feet
from shared_models.reports.common.filters import Filters
from shared_models.reports.pace.compare import Comparison, compare
from shared_models.reports.pace.rates import By
from shared_models.reports.rows.rows import load_rows
from tests.shared_models.reports.support.farmbook import FarmBook, HandDay


def compared(book: FarmBook, by: By, first: str, second: str) -> Comparison | None:
    with book.reports() as reports:
        return compare(load_rows(reports, Filters()), by, (first, second), reports.farm)


def test_crews_are_compared_by_the_row_length_of_one_persons_hour(hand_day: HandDay) -> None:
    """Ana and Ben: 200 ft in two times 30 min (12 + 3 + 15); Cy: 100 ft in 30 min: 200 ft per person-hour both."""
    result = compared(hand_day.book, By.CREW, f"{hand_day.ana} {hand_day.ben}", hand_day.cy)

    assert result is not None
    rates = [mm_to_feet(side.line.work.mm_per_person_h or 0) for side in (result.first, result.second)]
    assert rates == pytest.approx([200, 200])
    assert result.ratio is not None
    assert result.ratio.ratio == pytest.approx(1.0)
    assert (result.first.plantings, result.second.plantings, result.enough, result.ratio.low) == (1, 1, False, None)


def test_plantings_count_and_not_their_rows(hand_day: HandDay) -> None:
    book = hand_day.book
    for hour in (10, 11, 12):
        planting = book.planting(book.bed(f"Bed {hour}"), "Leek", 152.4)
        book.row(planting, 1, f"{hour}:00", f"{hour}:25", [hand_day.cy])
        book.row(planting, 2, f"{hour}:30", f"{hour}:55", [hand_day.cy])

    result = compared(book, By.CROP, "leek", "onion")

    assert result is not None
    assert (result.first.plantings, result.second.plantings) == (4, 1)


def test_enough_plantings_on_both_sides_give_an_interval(hand_day: HandDay) -> None:
    book = hand_day.book
    for crop, minutes in (("Leek", (28, 31, 33)), ("Chard", (14, 15, 17))):
        for number, taken in enumerate(minutes):
            planting = book.planting(book.bed(f"{crop} {number}"), crop, 152.4)
            book.row(planting, 1, f"1{number}:00", f"1{number}:{taken}", [hand_day.cy])

    result = compared(book, By.CROP, "chard", "leek")

    assert result is not None
    assert result.enough
    assert result.ratio is not None
    assert result.ratio.ratio == pytest.approx((300 / 46) / (400 / 122))
    assert result.ratio.is_significant


def test_rows_on_both_sides_are_reported(hand_day: HandDay) -> None:
    result = compared(hand_day.book, By.PERSON, hand_day.ana, hand_day.ben)

    assert result is not None
    assert result.shared == 2


@pytest.mark.parametrize("key", ["nobody", ""])
def test_a_side_without_rows_compares_nothing(hand_day: HandDay, key: str) -> None:
    assert compared(hand_day.book, By.CREW, hand_day.cy, key) is None


def test_a_side_without_any_length_has_no_ratio(hand_day: HandDay) -> None:
    book = hand_day.book
    empty = book.planting(book.bed("Bed 9"), "Chard", 152.4)
    book.row(empty, 1, "10:00", "10:00", [hand_day.cy])

    result = compared(book, By.CROP, "chard", "leek")

    assert result is not None
    assert result.ratio is None
