"""The sheet of a day, the days there are, what needs a look, and finding beds and plantings."""

from datetime import UTC, date, datetime, timedelta

import pytest

from shared_models.core.moments import Moment
from shared_models.errors import UnknownRecord
from shared_models.reports.common import find
from shared_models.reports.common.context import ReportContext
from shared_models.reports.pace.rates import By
from shared_models.reports.sheets.day import DaySheet, PlantingDays, day_sheet, planting_days
from tests.shared_models.reports.stand.test_stands import count
from tests.shared_models.reports.support.farmbook import DAY, FarmBook, HandDay


def sheet(hand_day: HandDay, day: date = DAY) -> DaySheet:
    with hand_day.book.reports() as reports:
        return day_sheet(reports, day, hand_day.later(20))


def days(book: FarmBook) -> PlantingDays:
    with book.reports() as reports:
        return planting_days(reports)


def test_a_days_sheet_holds_rows_rates_stands_and_soil(hand_day: HandDay) -> None:
    hand_day.book.add("soil_check", bed=hand_day.north, at=hand_day.later(7).isoformat(), feel="moist")

    day = sheet(hand_day)

    assert [row.id for row in day.rows] == [hand_day.first, hand_day.second, hand_day.third]
    assert day.rates[By.BED].total.work.field_time_s == 3600
    assert [stand.planting_id for stand in day.stands.plantings] == [hand_day.onions, hand_day.leeks]
    assert [len(bed.checks) for bed in day.soil.beds] == [1, 0]
    assert day.issues == ()


def test_a_planting_that_was_counted_stands_on_that_days_sheet(hand_day: HandDay) -> None:
    later = DAY + timedelta(days=10)
    count(hand_day.book, hand_day.onions, 57)

    stood = sheet(hand_day, later).stands.plantings

    assert [(each.planting_id, each.counted is not None) for each in stood] == [(hand_day.onions, True)]


def test_open_flagged_and_future_rows_need_a_look(hand_day: HandDay) -> None:
    book = hand_day.book
    book.row(hand_day.leeks, 2, "9:20", None, [])
    book.flag("bed", name="<b>Bed 7</b>", length_mm=-3, rows=2)
    book.flag("bed", name="Bed 8", length_mm=-3, rows=2, voided=True)
    future = book.moment("8:00", day=DAY + timedelta(days=365)), book.moment("8:10", day=DAY + timedelta(days=365))
    book.row(hand_day.leeks, 3, *future, [])

    today, later = sheet(hand_day).issues, sheet(hand_day, DAY + timedelta(days=365)).issues

    assert [look.label for look in today] == ["Bed 2, row 2", "bed <b>Bed 7</b>"]
    assert "length mm" in today[1].reasons[0]
    assert "Dated in the future" in later[0].reasons[0]


def test_the_latest_day_is_the_last_with_planting_up_to_today(hand_day: HandDay) -> None:
    """A phone that once thought it was 2031 does not hide the last real day."""
    book = hand_day.book
    for on in (DAY - timedelta(days=3), date(2031, 1, 1)):
        book.row(hand_day.leeks, 2, book.moment("8:00", day=on), book.moment("8:10", day=on), [])

    known = days(book)

    assert known.latest(DAY + timedelta(days=2)) == DAY
    assert known.before(DAY) == DAY - timedelta(days=3)
    assert known.after(DAY) == date(2031, 1, 1)
    assert known.before(DAY - timedelta(days=3)) is None
    assert known.latest(DAY - timedelta(days=30)) == date(2031, 1, 1)


def test_days_know_their_open_rows_and_stand_by_the_clock_put_right(book: FarmBook) -> None:
    book.farm()
    planting, wrong = book.planting(book.bed("Bed 1"), "Onion", 50.8), DAY + timedelta(days=3)
    book.row(planting, 1, book.moment("9:00", "b", 60), book.moment("9:10", "b", 70), [])
    book.row(planting, 2, book.moment("8:00", "b", 270, wrong), None, [])

    known = days(book)

    assert known.open_rows == {DAY: 1}
    assert known.with_open_rows() == [DAY]


def test_an_empty_farm_has_no_day(book: FarmBook) -> None:
    assert days(book).latest(DAY) is None


@pytest.mark.parametrize(("zone", "day"), [("Asia/Tokyo", date(2201, 1, 1)), ("America/New_York", date(2200, 12, 31))])
def test_a_row_at_the_end_of_what_is_kept_has_a_day_too(book: FarmBook, zone: str, day: date) -> None:
    book.farm(zone=zone)
    planting = book.planting(book.bed("Bed 1"), "Onion", 50.8)
    book.row(planting, 1, Moment(datetime(2200, 12, 31, 23, 0, tzinfo=UTC)), None, [])

    assert days(book).latest(DAY) == day


def test_beds_and_plantings_are_found_by_the_names_people_use(hand_day: HandDay) -> None:
    with hand_day.book.reports() as reports:
        for query in (hand_day.north, "bed 1", "Bed 1 (North)"):
            assert find.find_bed(reports, query) == hand_day.north
        for query in (hand_day.onions, "o1", "onion varna (o1), bed 1 (north)"):
            assert find.find_planting(reports, query) == hand_day.onions
        with pytest.raises(UnknownRecord, match="no bed Bed 77"):
            find.find_bed(reports, "Bed 77")
        with pytest.raises(UnknownRecord, match="no planting X"):
            find.find_planting(reports, "X")


def test_a_name_that_two_beds_have_finds_neither(hand_day: HandDay) -> None:
    hand_day.book.bed("Bed 1", block="South")

    with hand_day.book.reading() as session, pytest.raises(UnknownRecord):
        find.find_bed(ReportContext.of(session, hand_day.book.id), "Bed 1")


def test_beds_are_listed_as_people_count(hand_day: HandDay) -> None:
    hand_day.book.bed("bed 10")

    with hand_day.book.reports() as reports:
        assert [each.label for each in find.beds(reports)] == [
            "Bed 1 (North)",
            "Bed 2",
            "bed 10",
        ]


def test_lists_leave_out_what_was_deleted(hand_day: HandDay) -> None:
    book = hand_day.book
    book.change("bed", hand_day.south, voided=True)
    book.change("planting", hand_day.leeks, voided=True)

    with book.reports() as reports:
        assert [each.label for each in find.beds(reports)] == ["Bed 1 (North)"]
        assert [each.place.crop for each in find.plantings(reports)] == ["Onion"]
