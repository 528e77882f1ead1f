"""Stands as planted and as counted, against figures worked out by hand."""

from datetime import timedelta

import pytest

from shared_models.reports.common.filters import Filters
from shared_models.reports.stand.stands import PlantingStand, StandsReport, stands
from shared_models.trade.stand.stand import wilson
from tests.shared_models.reports.support.farmbook import DAY, HUNDRED_FEET_MM, FarmBook, HandDay

TEN_FEET_MM = 3048


def ask(book: FarmBook, filters: Filters | None = None) -> StandsReport:
    with book.reports() as reports:
        return stands(reports, filters)


def of(book: FarmBook, planting: str) -> PlantingStand:
    return next(each for each in ask(book).plantings if each.planting_id == planting)


def count(book: FarmBook, planting: str, plants: int, row: int = 1, days: int = 10, hour: str = "9:00") -> str:
    at = book.at(hour, DAY + timedelta(days=days)).isoformat()
    return book.add("stand_count", planting=planting, at=at, row=row, sample_length_mm=TEN_FEET_MM, plants=plants)


def test_the_planted_stand_takes_off_misses_and_adds_fills_but_never_doubles(hand_day: HandDay) -> None:
    onions = of(hand_day.book, hand_day.onions)

    # 200 ft at 2 in are 1,200 places; 6 misses, 2 of them filled
    assert onions.positions == pytest.approx(1200)
    assert onions.planted == pytest.approx((1200 - 6 + 2) / 1200)
    assert (onions.misses, onions.filled, onions.doubles) == (6, 2, 1)
    assert (onions.rows, onions.length_mm) == (2, 2 * HUNDRED_FEET_MM)
    assert onions.counted is None


def test_the_counts_of_one_day_are_put_together_and_carry_an_interval(hand_day: HandDay) -> None:
    """60 places in each 10 ft; 57 and 57 living scatter less than single plants, so the plain Wilson interval holds."""
    count(hand_day.book, hand_day.onions, 57, row=1)
    count(hand_day.book, hand_day.onions, 57, row=2, hour="9:10")

    counted = of(hand_day.book, hand_day.onions).counted

    assert counted
    assert (counted.stand.plants, counted.stand.samples) == (114, 2)
    assert counted.stand.positions == pytest.approx(120)
    assert counted.stand.proportion == pytest.approx(0.95)
    assert counted.stand.interval.low == pytest.approx(wilson(114, 120).low)
    assert counted.days_after_planting == 10


def test_a_later_count_is_a_round_of_its_own(hand_day: HandDay) -> None:
    count(hand_day.book, hand_day.onions, 57)
    count(hand_day.book, hand_day.onions, 54, days=20)

    onions = of(hand_day.book, hand_day.onions)

    assert [round(each.stand.proportion, 2) for each in onions.rounds] == [0.95, 0.9]
    assert onions.counted == onions.rounds[1]


def test_a_count_of_more_plants_than_places_is_left_out_and_told(hand_day: HandDay) -> None:
    count(hand_day.book, hand_day.onions, 75)

    onions = of(hand_day.book, hand_day.onions)

    assert onions.rounds == ()
    assert "75 plants in row 1 on 2026-05-14 is more than its 60 places" in onions.issues[0]


def test_the_fill_list_names_rows_with_misses_left_and_spares_to_carry(hand_day: HandDay) -> None:
    fill = of(hand_day.book, hand_day.onions).fill

    assert [(line.row, line.to_fill) for line in fill.lines] == [(2, 4)]
    assert fill.spares == 5  # 4 and a tenth, rounded up


def test_two_passes_down_one_row_are_one_line_to_fill(hand_day: HandDay) -> None:
    hand_day.book.row(hand_day.onions, 2, "9:00", "9:04", [], misses=3)

    onions = of(hand_day.book, hand_day.onions)

    assert [(line.row, line.to_fill) for line in onions.fill.lines] == [(2, 7)]
    assert onions.rows == 2


def test_voided_rows_and_counts_and_open_rows_are_left_out(hand_day: HandDay) -> None:
    book = hand_day.book
    book.change("row_pass", hand_day.second, voided=True)
    book.change("stand_count", count(book, hand_day.onions, 57), voided=True)
    book.row(hand_day.onions, 3, "10:00", None, [], misses=9)

    onions = of(book, hand_day.onions)

    assert (onions.rows, onions.misses, onions.rounds) == (1, 0, ())


def test_more_misses_than_places_give_no_stand_but_a_reason(hand_day: HandDay) -> None:
    hand_day.book.change("row_pass", hand_day.third, misses=500)

    leeks = of(hand_day.book, hand_day.leeks)

    assert leeks.planted is None
    assert leeks.issues == ("500 misses on 200 places: check the rows' lengths and misses.",)


def test_a_count_of_a_planting_that_has_not_arrived_is_listed_with_the_reason(hand_day: HandDay) -> None:
    unknown = hand_day.book.new_id()
    count(hand_day.book, unknown, 57)

    stand = of(hand_day.book, unknown)

    assert stand.label == "unknown crop, unknown bed"
    assert stand.positions is None
    assert "planting is missing" in stand.issues[0]


def test_a_bed_sums_its_plantings(hand_day: HandDay) -> None:
    lettuce = hand_day.book.planting(hand_day.south, "Lettuce", 304.8)
    hand_day.book.row(lettuce, 2, "11:00", "11:10", [], misses=3)

    bed = next(bed for bed in ask(hand_day.book).beds if bed.bed_id == hand_day.south)

    # 100 ft at 6 in and at 12 in
    assert (bed.plantings, bed.misses) == (2, 3)
    assert bed.positions == pytest.approx(300)
    assert bed.planted == pytest.approx(0.99)


def test_a_day_a_bed_or_a_planting_chooses_whole_plantings(hand_day: HandDay) -> None:
    """Asked for the day of the count, the stand still covers the rows of the day of planting."""
    book = hand_day.book
    count(book, hand_day.onions, 57)

    def chosen(**query: object) -> list[str]:
        return [each.planting_id for each in ask(book, Filters(**query)).plantings]  # type: ignore[arg-type]

    assert chosen() == [hand_day.onions, hand_day.leeks]
    assert chosen(day=DAY + timedelta(days=10)) == [hand_day.onions]
    assert chosen(bed=hand_day.south) == [hand_day.leeks]
    assert chosen(planting=hand_day.onions) == [hand_day.onions]
    assert ask(book, Filters(day=DAY + timedelta(days=10))).plantings[0].rows == 2


def test_a_planting_of_two_days_is_whole_on_either(hand_day: HandDay) -> None:
    """The rows of the requested day are at hand; those of the other day are read for it."""
    book, next_day = hand_day.book, DAY + timedelta(days=1)
    ends = book.moment("9:00", day=next_day), book.moment("9:10", day=next_day)
    book.row(hand_day.leeks, 2, *ends, [], misses=4)

    result = [ask(book, Filters(day=day)).plantings[-1] for day in (DAY, next_day)]

    assert [(stand.planting_id, stand.rows, stand.misses) for stand in result] == [(hand_day.leeks, 2, 4)] * 2
