"""The pace: which days, which two are compared, and the farm's own baseline."""

from datetime import date, timedelta

from shared_models.reports.common.filters import Filters
from shared_models.reports.pace.rates import By
from shared_models.reports.pace.sheet import PaceSheet, pace_sheet
from tests.shared_models.reports.support.farmbook import DAY, HandDay


def pace(
    hand_day: HandDay, by: By, filters: Filters | None = None, keys: tuple[str | None, str | None] = (None, None)
) -> PaceSheet:
    with hand_day.book.reports() as reports:
        return pace_sheet(reports, by, filters or Filters(), keys)


def test_the_two_with_most_work_are_compared_unless_others_are_asked_for(hand_day: HandDay) -> None:
    book = hand_day.book
    for number in range(3):
        book.row(hand_day.leeks, number + 2, f"1{number}:00", f"1{number}:20", [hand_day.ben])
    pair = f"{hand_day.ana} {hand_day.ben}"

    assert pace(hand_day, By.CREW).compared_keys == (hand_day.ben, pair)
    assert pace(hand_day, By.CREW, keys=(pair, None)).compared_keys == (pair, hand_day.ben)
    assert pace(hand_day, By.CREW, keys=(None, hand_day.ben)).compared_keys == (pair, hand_day.ben)
    assert pace(hand_day, By.CREW, keys=("nobody", hand_day.cy)).compared_keys == (hand_day.ben, hand_day.cy)


def test_one_line_is_not_compared_with_itself(hand_day: HandDay) -> None:
    sheet = pace(hand_day, By.SEASON)

    assert (sheet.compared_keys, sheet.comparison) == (("2026", "2026"), None)


def test_a_week_is_called_by_its_monday(hand_day: HandDay) -> None:
    book, sunday, monday = hand_day.book, DAY + timedelta(days=6), DAY + timedelta(days=7)
    for on in (sunday, monday):
        book.row(hand_day.leeks, 2, book.moment("8:00", day=on), book.moment("8:20", day=on), [hand_day.cy])

    sheet = pace(hand_day, By.WEEK)

    assert [(line.key, line.work.rows) for line in sheet.report.lines] == [("2026-05-04", 4), ("2026-05-11", 1)]
    assert (sheet.first, sheet.last) == (DAY, monday)


def test_a_crop_is_asked_for_whatever_its_capitals(hand_day: HandDay) -> None:
    sheet = pace(hand_day, By.CROP, Filters(crop="onION"))

    assert [line.label for line in sheet.report.lines] == ["Onion"]


def test_no_rows_are_no_days(hand_day: HandDay) -> None:
    sheet = pace(hand_day, By.CREW, Filters(day=date(2020, 1, 1)))

    assert (sheet.first, sheet.last, sheet.compared_keys, sheet.comparison) == (None, None, ("", ""), None)


def test_the_baseline_is_the_farms_own(hand_day: HandDay) -> None:
    assert pace(hand_day, By.CREW).plug_tray is None

    hand_day.book.farm(plug_tray_plants_per_person_hour=450)

    assert pace(hand_day, By.CREW).plug_tray == 450
