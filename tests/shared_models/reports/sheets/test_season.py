"""A season: successions, what is planned, and that a big one is read in few questions."""

from datetime import date, timedelta

from shared_models.reports.common.filters import Filters
from shared_models.reports.sheets.season import SeasonSheet, season_sheet
from tests.shared_models.reports.support.big_season import BEDS, ROWS, big_season, questions
from tests.shared_models.reports.support.farmbook import DAY, FarmBook, HandDay


def season(book: FarmBook, filters: Filters | None = None) -> SeasonSheet:
    with book.reports() as reports:
        return season_sheet(reports, filters or Filters(), with_costs=False)


def test_successions_stand_by_crop_in_the_order_of_planting(hand_day: HandDay) -> None:
    book, later = hand_day.book, DAY + timedelta(days=14)
    second = book.planting(hand_day.south, "onion", 50.8, code="O2", sown_on="2026-04-01")
    book.row(second, 1, book.moment("8:00", day=later), book.moment("8:12", day=later), [hand_day.cy], misses=2)

    found = season(book).successions

    assert [(each.sowing.crop, each.sowing.code, each.days_after) for each in found] == [
        ("Leek", "", None),
        ("Onion", "O1", None),
        ("onion", "O2", 14),
    ]
    assert (found[2].planted_from, found[2].beds, found[2].misses) == (later, ("Bed 2",), 2)
    assert found[2].plants is not None
    assert round(found[2].plants) == 600


def test_what_is_planned_and_has_no_row_yet_is_reported(hand_day: HandDay) -> None:
    book = hand_day.book
    book.change("planting", hand_day.leeks, planned_on=str(DAY))
    for on in (DAY + timedelta(days=9), DAY + timedelta(days=2), date(2027, 3, 1)):
        sowing = book.add("sowing", crop="Chard", spacing_mm=152.4)
        book.add("planting", bed=hand_day.south, sowing=sowing, planned_on=str(on))
    deleted = book.planting(hand_day.south, "Chard", 152.4)
    book.change("planting", deleted, planned_on=str(DAY), voided=True)

    result = season(book, Filters(since=date(2026, 1, 1), until=date(2026, 12, 31))).unplanted

    assert result == (("Chard, Bed 2", DAY + timedelta(days=2)), ("Chard, Bed 2", DAY + timedelta(days=9)))


def test_costs_are_not_even_worked_out_for_who_may_not_see_them(hand_day: HandDay) -> None:
    assert season(hand_day.book).costs is None


def test_a_season_of_two_hundred_beds_is_read_in_few_questions(book: FarmBook) -> None:
    """The number of statements grows by one for each 500 rows, not with beds, plantings or crops."""
    big_season(book)

    with questions(book.engine) as query:
        sheet = season(book, Filters(since=date(2026, 1, 1), until=date(2026, 12, 31)))

    assert len(sheet.by_bed.lines) == BEDS
    assert sheet.total.total.work.rows == BEDS * ROWS
    assert len([statement for statement in query if "SELECT" in statement]) <= 20
