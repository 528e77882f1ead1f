"""Rates, against figures worked out by hand from the rows of `HandDay`."""

from datetime import date, timedelta

import pytest

from shared_models.core.vocabulary import StopReason
from shared_models.errors import BadQuantity
from shared_models.reports.common.filters import Filters
from shared_models.reports.pace.rates import By, RateLine, RatesReport, rates
from shared_models.trade.pace.pace import StopTotal
from tests.shared_models.reports.support.farmbook import DAY, FT, FarmBook, HandDay


def ask(book: FarmBook, by: By, filters: Filters | None = None) -> RatesReport:
    with book.reports() as reports:
        return rates(reports, by, filters)


def feet(mm: float | None) -> float:
    assert mm is not None
    return mm / FT


def by_label(report: RatesReport) -> dict[str, RateLine]:
    return {line.label: line for line in report.lines}


def test_a_bed_has_the_rates_that_its_printed_rows_give_by_hand(hand_day: HandDay) -> None:
    bed = by_label(ask(hand_day.book, By.BED))["Bed 1 (North)"]

    # 200 ft; row time 12 + 12 min, stops 3 min, turn 3 min: half an hour in the field
    assert bed.work.rows == 2
    assert bed.work.field_time_s == 30 * 60
    assert feet(bed.work.working_mm_per_h) == pytest.approx(500)
    assert feet(bed.work.effective_mm_per_h) == pytest.approx(400)
    assert bed.work.field_efficiency == pytest.approx(0.8)
    assert feet(bed.work.mm_per_person_h) == pytest.approx(200)
    assert bed.plants == pytest.approx(1200)
    assert bed.plants_per_h == pytest.approx(2400)
    assert bed.plants_per_person_h == pytest.approx(1200)
    assert (bed.misses, bed.filled, bed.doubles) == (6, 2, 1)


def test_a_row_has_its_own_turn_and_stops(hand_day: HandDay) -> None:
    first, second, third = ask(hand_day.book, By.ROW).lines

    assert [line.label for line in (first, second, third)] == [
        "Bed 1 (North), row 1",
        "Bed 1 (North), row 2",
        "Bed 2, row 1",
    ]
    assert [line.work.turn_time_s for line in (first, second, third)] == [0, 180, 0]
    assert [line.work.stop_time_s for line in (first, second, third)] == [0, 180, 0]
    assert feet(first.work.working_mm_per_h) == pytest.approx(500)


def test_a_row_that_crosses_an_hour_counts_in_both_in_proportion_to_time(hand_day: HandDay) -> None:
    hours = by_label(ask(hand_day.book, By.HOUR))

    # 8:00 to 8:30 wholly, and half of 8:45 to 9:15
    assert list(hours) == ["08:00", "09:00"]
    assert hours["08:00"].work.rows == pytest.approx(2.5)
    assert feet(hours["08:00"].work.length_mm) == pytest.approx(250)
    assert hours["08:00"].work.field_time_s == pytest.approx(45 * 60)
    assert hours["08:00"].misses == pytest.approx(6)
    assert feet(hours["09:00"].work.length_mm) == pytest.approx(50)
    assert hours["09:00"].plants_per_h == pytest.approx(400)


def test_a_person_gets_an_equal_share_of_each_row(hand_day: HandDay) -> None:
    people = by_label(ask(hand_day.book, By.PERSON))

    assert list(people) == ["Ana", "Ben", "Cy"]
    assert people["Ana"].work.rows == pytest.approx(1)
    assert feet(people["Ana"].work.length_mm) == pytest.approx(100)
    assert feet(people["Ana"].work.mm_per_person_h) == pytest.approx(200)
    assert people["Ana"].misses == pytest.approx(3)
    assert feet(people["Cy"].work.mm_per_person_h) == pytest.approx(200)


@pytest.mark.parametrize("by", list(By))
def test_the_lines_of_every_report_sum_to_its_total(hand_day: HandDay, by: By) -> None:
    report = ask(hand_day.book, by)

    summed = RateLine("", "")
    for line in report.lines:
        summed = summed.plus(line)
    for figure in ("rows", "length_mm", "plants", "row_time_s", "stop_time_s", "turn_time_s", "person_s"):
        assert getattr(summed.work, figure) == pytest.approx(getattr(report.total.work, figure)), figure
    assert (summed.misses, summed.filled, summed.doubles) == pytest.approx((6, 2, 1))


@pytest.mark.parametrize(
    ("by", "labels"),
    [
        (By.PLANTING, ["Onion Varna (O1), Bed 1 (North)", "Leek, Bed 2"]),
        (By.CROP, ["Leek", "Onion"]),
        (By.SPACING, ["2 in", "6 in"]),
        (By.CREW, ["Ana + Ben", "Cy"]),
        (By.DAY, ["2026-05-04"]),
        (By.SEASON, ["2026"]),
    ],
)
def test_lines_carry_the_names_people_use(hand_day: HandDay, by: By, labels: list[str]) -> None:
    assert [line.label for line in ask(hand_day.book, by).lines] == labels


def test_a_farm_that_measures_in_metres_reads_its_spacings_in_centimeters(hand_day: HandDay) -> None:
    hand_day.book.farm(units="metres")

    assert [line.label for line in ask(hand_day.book, By.SPACING).lines] == ["5.1 cm", "15.2 cm"]


def test_south_of_the_equator_a_season_runs_over_the_new_year(hand_day: HandDay) -> None:
    hand_day.book.farm(latitude=-41.3, longitude=174.8)

    assert [line.label for line in ask(hand_day.book, By.SEASON).lines] == ["2025/26"]


def test_stops_are_reported_by_reason(hand_day: HandDay) -> None:
    assert ask(hand_day.book, By.DAY).stops == ((StopReason.TRAY_CHANGE, StopTotal(180, 1)),)


def test_bed_planting_and_days_narrow_what_is_asked(hand_day: HandDay) -> None:
    book, next_day = hand_day.book, DAY + timedelta(days=1)
    after = book.moment("8:00", day=next_day), book.moment("8:10", day=next_day)
    book.row(hand_day.leeks, 2, *after, [hand_day.cy])

    def rows(**query: date | str) -> float:
        return ask(book, By.ROW, Filters(**query)).total.work.rows  # type: ignore[arg-type]

    assert rows() == 4
    assert rows(day=DAY) == 3
    assert rows(since=next_day) == 1
    assert rows(until=DAY) == 3
    assert rows(bed=hand_day.south) == 2
    assert rows(planting=hand_day.onions) == 2
    assert rows(bed=hand_day.south, day=next_day) == 1


def test_a_voided_row_is_left_out(hand_day: HandDay) -> None:
    hand_day.book.change("row_pass", hand_day.first, voided=True)

    assert ask(hand_day.book, By.ROW).total.work.rows == 2


def test_a_flagged_row_is_left_out(hand_day: HandDay) -> None:
    fields = {"planting": hand_day.onions, "row": 3, "started_at": "2026-05-04T14:00:00+00:00", "length_mm": -3}
    hand_day.book.flag("row_pass", **fields)

    report = ask(hand_day.book, By.ROW)

    assert report.total.work.rows == 3
    assert report.not_counted == ()


def test_an_open_row_is_listed_but_not_counted(hand_day: HandDay) -> None:
    hand_day.book.row(hand_day.leeks, 2, "9:20", None, [hand_day.cy])

    report = ask(hand_day.book, By.ROW)

    assert report.total.work.rows == 3
    assert [row.label for row in report.not_counted] == ["Bed 2, row 2"]


def test_an_empty_farm_has_no_lines_and_no_rates(book: FarmBook) -> None:
    report = ask(book, By.HOUR, Filters(day=DAY))

    assert report.lines == ()
    assert report.total.work.effective_mm_per_h is None


@pytest.mark.parametrize(
    "query",
    [
        {"day": DAY, "since": DAY},
        {"since": DAY, "until": DAY - timedelta(days=1)},
        {"day": date.max},
        {"since": date.min},
    ],
)
def test_days_that_cannot_be_asked_for_are_refused(query: dict[str, date]) -> None:
    with pytest.raises(BadQuantity):
        Filters(**query)  # type: ignore[arg-type]
