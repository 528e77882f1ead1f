"""What is usual here, on rows that can be checked by hand."""

import pytest

from shared_models.records.tables import RowPass
from shared_models.reports.rows.usual_row import Usual, row_time_s, usual
from tests.shared_models.reports.support.farmbook import HUNDRED_FEET_MM, FarmBook

REST = [("rest", "9:04", "9:10")]


def held(book: FarmBook, row: str) -> RowPass:
    with book.reading() as session:
        found = session.get(RowPass, (book.id, row))
        assert found is not None
        return found


def seen(book: FarmBook, crop: str = "Onion", spacing_mm: float = 50.8) -> Usual:
    with book.reading() as session:
        return usual(session, book.id, crop, spacing_mm)


@pytest.fixture
def onions(book: FarmBook) -> str:
    """Rows of 8, 9, 10 and 40 minutes, and one of 15 with 6 minutes of rest."""
    planting = book.planting(book.bed("Bed 1"), "Onion", 50.8)
    for row, end in enumerate(("7:08", "7:09", "7:10", "7:40"), 1):
        book.row(planting, row, "7:00", end, [])
    book.row(planting, 5, "9:00", "9:15", [], REST)
    return planting


def test_stops_are_no_row_time(book: FarmBook, onions: str) -> None:
    """8, 9, 9, 10 and 40 minutes: the middle one is 9."""
    open_row = held(book, book.row(onions, 6, "10:00", None, []))

    assert seen(book).time_s(open_row) == 9 * 60


def test_a_crop_that_begins_with_an_accent_is_found_again(book: FarmBook, onions: str) -> None:
    """The database makes no small É of a capital one. Without its own rows, the onions' 9 minutes would be usual."""
    planting = book.planting(book.bed("Bed 2"), "Échalote", 50.8)
    rows = [book.row(planting, row, "7:00", "7:20", []) for row in range(1, 5)]

    assert onions
    assert seen(book, "Échalote").time_s(held(book, rows[0])) == 20 * 60


def test_half_a_row_takes_half_as_long(book: FarmBook, onions: str) -> None:
    short = held(book, book.row(onions, 6, "10:00", None, [], length_mm=HUNDRED_FEET_MM // 2))

    assert seen(book).time_s(short) == 9 * 60 / 2


def test_a_row_is_no_measure_of_itself(book: FarmBook) -> None:
    """Without itself there are three others, of 8, 9 and 10 minutes; without one of those, too few to tell."""
    planting = book.planting(book.bed("Bed 1"), "Onion", 50.8)
    rows = [book.row(planting, row, "7:00", end, []) for row, end in enumerate(("7:08", "7:09", "7:10"), 1)]
    slow = held(book, book.row(planting, 4, "8:00", "8:45", []))
    before = seen(book).time_s(slow)
    book.change("row_pass", rows[0], voided=True)

    assert before == 9 * 60
    assert seen(book).time_s(slow) is None


def test_the_farm_says_how_slow_is_too_slow(book: FarmBook, onions: str) -> None:
    row = held(book, book.row(onions, 6, "10:00", "10:45", []))

    result = [seen(book).tap_missed(row, 45 * 60, times) for times in (5, 5.1, 0)]

    assert result == [True, False, False]


def test_other_crops_count_only_while_there_are_too_few_of_this_one(book: FarmBook, onions: str) -> None:
    leeks = book.planting(book.bed("Bed 2"), "Leek", 152.4)
    rows = [held(book, book.row(leeks, row, "11:00", "11:20", [])) for row in range(1, 5)]
    row = held(book, book.row(onions, 6, "12:00", None, []))

    assert seen(book, "leek", 152.4).time_s(rows[0]) == 20 * 60
    assert seen(book).time_s(row) == 9 * 60
    assert seen(book, "Onion", 101.6).time_s(row) == 20 * 60  # the middle of 8, 9, 9, 10, 20, 20, 20, 20, 40


def test_rows_that_cannot_be_measured_do_not_count(book: FarmBook, onions: str) -> None:
    row = held(book, book.row(onions, 6, "10:00", None, []))
    book.row(onions, 7, "11:00", "11:00", [])
    book.row(onions, 8, "11:00", None, [])

    assert seen(book).time_s(row) == 9 * 60


def test_a_stop_that_goes_on_is_no_row_time(book: FarmBook, onions: str) -> None:
    row = held(book, book.row(onions, 6, "10:00", None, [], [("rest", "10:05", None)]))

    assert row_time_s(row, 20 * 60) == 5 * 60


def test_a_stop_that_reaches_beyond_the_time_asked_about_counts_within_it(book: FarmBook, onions: str) -> None:
    row = held(book, book.row(onions, 6, "10:00", "10:40", [], [("rest", "10:18", "10:30")]))

    assert row_time_s(row, 20 * 60) == 18 * 60
