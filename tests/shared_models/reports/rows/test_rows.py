"""Rows put on the right clock, and rows that lack something."""

from collections import Counter
from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy import event

from shared_models.core.moments import Moment
from shared_models.reports.common.filters import Filters
from shared_models.reports.pace.rates import By, rates
from shared_models.reports.rows.rows import LoggedRow, day_of, load_rows
from tests.shared_models.reports.support.farmbook import DAY, FarmBook, HandDay


def rows_of(book: FarmBook, filters: Filters | None = None) -> list[LoggedRow]:
    with book.reports() as reports:
        return load_rows(reports, filters or Filters())


def on(book: FarmBook, day: date) -> list[str]:
    return [row.id for row in rows_of(book, Filters(day=day))]


def on_days(book: FarmBook) -> dict[date, int]:
    with book.reports() as reports:
        return Counter(day_of(row, reports.farm) for row in load_rows(reports, Filters()))


def minutes(row: LoggedRow) -> float:
    assert row.timed
    return row.timed.duration_s / 60


def test_rows_logged_after_the_clock_was_set_wrong_keep_their_true_times(book: FarmBook) -> None:
    """The phone shows 8:00 three days ahead at 12:30: its rows stay on the day, at 12:30."""
    book.farm()
    planting = book.planting(book.bed("Bed 1"), "Onion", 50.8)
    wrong = DAY + timedelta(days=3)
    book.row(planting, 1, book.moment("9:00", "b", 60), book.moment("9:10", "b", 70), [])
    book.row(planting, 2, book.moment("9:12", "b", 72), book.moment("9:22", "b", 82), [])
    book.row(planting, 3, book.moment("8:00", "b", 270, wrong), book.moment("8:10", "b", 280, wrong), [])

    third = rows_of(book, Filters(day=DAY))[2]

    assert third.start == book.at("12:30")
    assert third.end == book.at("12:40")
    assert on(book, wrong) == []


def test_a_day_logged_under_a_wrong_date_is_corrected_from_earlier_days(book: FarmBook) -> None:
    """The phone stays on for days; after two of them its date is set a month ahead."""
    book.farm()
    planting = book.planting(book.bed("Bed 1"), "Onion", 50.8)

    def row(days_after_boot: int, shown: date) -> str:
        since = days_after_boot * 1440
        ends = book.moment("9:00", "b", since, shown), book.moment("9:10", "b", since + 10, shown)
        return book.row(planting, 1, *ends, [])

    row(2, DAY - timedelta(days=3))
    row(3, DAY - timedelta(days=2))
    wrong = row(5, DAY + timedelta(days=30))

    assert on_days(book) == {DAY - timedelta(days=3): 1, DAY - timedelta(days=2): 1, DAY: 1}
    assert [row.id for row in rows_of(book, Filters(day=DAY))] == [wrong]


def test_a_row_during_which_the_clock_was_set_is_timed_by_the_boot_clock(book: FarmBook) -> None:
    book.farm()
    planting = book.planting(book.bed("Bed 1"), "Onion", 50.8)
    book.row(planting, 1, book.moment("9:00", "b", 60), book.moment("9:10", "b", 70), [])
    row = book.row(planting, 2, book.moment("9:12", "b", 72), book.moment("15:22", "b", 82), [])

    second = next(each for each in rows_of(book) if each.id == row)

    assert minutes(second) == 10
    assert second.end == book.at("9:22")


def test_a_row_across_a_reboot_is_timed_by_clocks_put_right(book: FarmBook) -> None:
    """The clock was an hour slow when the row began; other rows of that boot tell."""
    book.farm()
    planting = book.planting(book.bed("Bed 1"), "Onion", 50.8)
    book.row(planting, 1, book.moment("9:00", "b", 60), book.moment("9:10", "b", 70), [])
    row = book.row(planting, 2, book.moment("8:15", "b", 75), book.moment("9:30", "c", 2), [])

    second = next(each for each in rows_of(book) if each.id == row)

    assert second.start == book.at("9:15")
    assert minutes(second) == 15


def test_crews_side_by_side_in_one_planting_have_turns_of_their_own(hand_day: HandDay) -> None:
    book = hand_day.book
    plans = [(2, "10:00", "10:20", hand_day.ana), (3, "10:05", "10:25", hand_day.ben)]
    plans += [(4, "10:22", "10:40", hand_day.ana), (5, "10:30", "10:45", hand_day.ben)]
    for row, start, end, person in plans:
        book.row(hand_day.leeks, row, start, end, [person])

    turns = [row.timed.turn_s / 60 for row in rows_of(book) if row.timed and row.start >= book.at("10:00")]

    assert turns == [0, 0, 2, 5]


def test_people_who_take_turns_at_one_transplanter_do_not_wait_in_field_time(hand_day: HandDay) -> None:
    book = hand_day.book
    for row, (start, end) in enumerate([("10:00", "10:10"), ("10:12", "10:22"), ("10:24", "10:34")], 2):
        book.row(hand_day.leeks, row, start, end, [(hand_day.ana, hand_day.ben)[row % 2]])

    turns = [row.timed.turn_s / 60 for row in rows_of(book) if row.timed and row.start >= book.at("10:00")]

    assert turns == [0, 2, 2]


def test_the_farm_says_how_long_a_gap_is_still_a_turn(hand_day: HandDay) -> None:
    hand_day.book.farm(thresholds={"longest_turn_s": 120.0})

    assert all(row.timed and row.timed.turn_s == 0 for row in rows_of(hand_day.book))


def test_a_day_on_which_the_clock_goes_back_has_the_hour_twice(book: FarmBook) -> None:
    """1 November 2026, New York: 1:30 to 1:30 again is one hour, and both hours are told."""
    book.farm()
    planting = book.planting(book.bed("Bed 1"), "Onion", 50.8)
    start, end = datetime(2026, 11, 1, 5, 30, tzinfo=UTC), datetime(2026, 11, 1, 6, 30, tzinfo=UTC)
    book.row(planting, 1, Moment(start), Moment(end), [])

    with book.reports() as reports:
        report = rates(reports, By.HOUR, Filters(day=date(2026, 11, 1)))

    assert [(line.label, line.work.rows) for line in report.lines] == [
        ("01:00", 0.5),
        ("01:00 again (clock set back)", 0.5),
    ]


def test_a_day_belongs_to_the_farms_own_clock(book: FarmBook) -> None:
    """23:30 in New York is the next day in UTC."""
    book.farm()
    row = book.row(book.planting(book.bed("Bed 1"), "Onion", 50.8), 1, "23:30", "23:40", [])

    assert on(book, DAY) == [row]
    assert on(book, DAY + timedelta(days=1)) == []


def test_a_row_whose_planting_has_not_arrived_counts_in_feet_but_not_in_plants(book: FarmBook) -> None:
    book.farm()
    book.row(book.new_id(), 1, "8:00", "8:12", [book.new_id()])

    with book.reports() as reports:
        report = rates(reports, By.BED)
    (line,) = report.lines
    (row,) = rows_of(book)

    assert line.label == "unknown bed"
    assert line.work.rows == 1
    assert line.plants is None
    assert line.plants_per_h is None
    assert row.crew == ("unknown person",)
    assert "planting is missing" in row.issues[0]


def test_a_row_whose_sowing_has_not_arrived_keeps_its_bed_and_has_an_unknown_spacing(book: FarmBook) -> None:
    book.farm()
    book.row(book.add("planting", bed=book.bed("Bed 1"), sowing=book.new_id()), 1, "8:00", "8:12", [])

    with book.reports() as reports:
        report = rates(reports, By.SPACING)
    (row,) = rows_of(book)

    assert [line.label for line in report.lines] == ["unknown spacing"]
    assert row.place.label == "unknown crop, Bed 1"
    assert "sowing is missing" in row.issues[0]


def test_a_row_whose_bed_has_not_arrived_is_reported_with_its_crop(book: FarmBook) -> None:
    book.farm()
    book.row(book.planting(book.new_id(), "Onion", 50.8), 1, "8:00", "8:12", [])

    (row,) = rows_of(book)

    assert row.place.label == "Onion, unknown bed"
    assert row.crew == ("no crew entered",)
    assert row.timed
    assert row.timed.crew == 1
    assert "bed is missing" in row.issues[0]


def test_rows_of_a_deleted_planting_still_count_and_ask_for_a_look(hand_day: HandDay) -> None:
    hand_day.book.change("planting", hand_day.leeks, voided=True)

    row = next(row for row in rows_of(hand_day.book) if row.id == hand_day.third)

    assert row.timed
    assert row.issues == ("Its planting was deleted.",)


def test_a_person_named_twice_is_one_of_the_crew(book: FarmBook) -> None:
    book.farm()
    ana = book.add("person", name="Ana")
    book.row(book.planting(book.bed("Bed 1"), "Onion", 50.8), 1, "8:00", "8:12", [ana, ana])

    assert rows_of(book)[0].crew == ("Ana",)


def test_a_stop_that_was_not_ended_lasts_to_the_end_of_the_row(book: FarmBook) -> None:
    book.farm()
    planting = book.planting(book.bed("Bed 1"), "Onion", 50.8)
    book.row(planting, 1, "8:00", "8:12", [], [("rest", "8:08", None)])

    timed = rows_of(book)[0].timed

    assert timed
    assert timed.stopped_s == 240


def test_stops_longer_than_their_row_leave_no_row_time_and_ask_for_a_look(book: FarmBook) -> None:
    book.farm()
    planting = book.planting(book.bed("Bed 1"), "Onion", 50.8)
    book.row(planting, 1, "8:00", "8:12", [], [("rest", "8:00", "8:30")])

    (row,) = rows_of(book)

    assert row.timed
    assert row.timed.stopped_s == row.timed.duration_s
    assert row.issues == ("Its stops are longer than the row.",)


@pytest.mark.parametrize("zone", ["Asia/Tokyo", "America/New_York"])
def test_a_row_with_impossible_times_is_listed_and_holds_up_nothing(book: FarmBook, zone: str) -> None:
    """One phone's clock ran to the end of time, another's boot clock too; the row beside them is counted."""
    book.farm(zone=zone)
    planting = book.planting(book.bed("Bed 1"), "Onion", 50.8)
    good = book.row(planting, 1, "8:00", "8:12", [])
    book.row(planting, 2, Moment(datetime(2200, 12, 31, 23, 0, tzinfo=UTC)), None, [])
    book.row(planting, 3, Moment(book.at("9:00"), "b", 2**52), "9:10", [])
    book.row(planting, 4, Moment(datetime(1999, 1, 1, tzinfo=UTC)), "9:10", [])

    rows = rows_of(book)

    assert len(rows) == 4
    assert [row.id for row in rows if row.timed] == [good]
    assert all(row.issues for row in rows if not row.timed)


def test_a_row_whose_clock_ran_to_the_end_is_put_right_by_its_boot(book: FarmBook) -> None:
    book.farm()
    planting = book.planting(book.bed("Bed 1"), "Onion", 50.8)
    good = book.row(planting, 1, book.moment("9:00", "b", 60), book.moment("9:10", "b", 70), [])
    wrong = book.row(planting, 2, Moment(datetime(2200, 12, 31, 23, 0, tzinfo=UTC), "b", 4_800_000), None, [])

    assert on(book, DAY) == [good, wrong]


def test_a_report_of_a_day_asks_the_tables_a_fixed_number_of_questions(hand_day: HandDay) -> None:
    """However many rows: farm, people, beds, sowings, plantings; rows near by, rows of their boots, the rows."""
    book = hand_day.book
    for row in range(2, 40):
        book.row(hand_day.leeks, row, book.moment("9:30", f"boot {row}", 1), None, [hand_day.cy])
    query: list[str] = []
    with book.reports() as reports:
        event.listen(book.engine, "before_cursor_execute", lambda *seen: query.append(seen[2]))
        rates(reports, By.ROW, Filters(day=DAY))

    assert len(query) <= 8


def test_a_stop_that_reaches_beyond_its_row_counts_within_it(book: FarmBook) -> None:
    """The end was put right to 8:22, in the middle of an eight-minute rest: 20 minutes of row and 2 of rest."""
    planting = book.planting(book.bed("Bed 1"), "Onion", 50.8)
    book.row(planting, 1, "8:00", "8:22", [], [("rest", "8:20", "8:28")])

    (row,) = rows_of(book)

    assert row.timed
    assert (row.timed.duration_s, row.timed.stopped_s) == (22 * 60, 2 * 60)
    assert row.stops == (("rest", 2 * 60),)
