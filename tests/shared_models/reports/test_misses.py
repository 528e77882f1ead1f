"""What goes with misses: the facts of each row as the log tells them, and what they say together."""

from datetime import date, timedelta
from typing import Any

import pytest

from shared_models.reports.common.filters import Filters
from shared_models.reports.misses import MissesSheet, misses
from shared_models.trade.misses.effects import Direction, Why, analyze_misses
from shared_models.trade.misses.factors import Factor, RowFacts
from shared_models.trade.misses.suggestion import Proposal
from tests.shared_models.reports.support.big_season import big_season, questions
from tests.shared_models.reports.support.farmbook import DAY, FarmBook, HandDay
from tests.shared_models.trade.weather.season import season

EACH_MM = 152.4


def logged(book: FarmBook, facts: list[RowFacts]) -> None:
    """Write rows with these facts into the log, each planting on a day and in a bed of its own."""
    book.farm()
    crews = {name: [book.add("person", name=f"Crew {name}")] for name in ("A", "B")}
    plantings: dict[str, tuple[str, date, int]] = {}
    for row in facts:
        if row.planting not in plantings:
            plantings[str(row.planting)] = (_planting(book, row, len(plantings)), DAY + timedelta(len(plantings)), 0)
        planting, on, count = plantings[str(row.planting)]
        plantings[str(row.planting)] = planting, on, count + 1
        begin, end = (book.moment(f"{8 + count}:{minute:02}", day=on) for minute in (0, 20))
        length_mm = round(row.positions * EACH_MM)
        result: dict[str, Any] = {"misses": row.misses, "depth_mm": round(row.depth_mm or 0), "length_mm": length_mm}
        book.row(planting, count + 1, begin, end, crews[str(row.crew)], **result)


def _planting(book: FarmBook, row: RowFacts, number: int) -> str:
    on, bed = DAY + timedelta(days=number), book.bed(f"Bed {number}")
    tilled_at = book.at("8:00", on) - timedelta(hours=row.tillage_age_h or 0)
    at = book.at("7:59", on)
    book.add("soil_check", bed=bed, at=at.isoformat(), feel=row.moisture, tilled_at=tilled_at.isoformat())
    return book.planting(bed, "Leek", EACH_MM, sown_on=str(on - timedelta(days=row.plant_age_days or 0)))


def result(book: FarmBook, **query: Any) -> MissesSheet:
    with book.reports() as reports:
        return misses(reports, book.at("23:00", DAY + timedelta(days=60)), Filters(**query))


def test_the_rows_say_what_went_with_misses_and_what_to_try(book: FarmBook) -> None:
    """A season in which every 10 mm of depth made the odds of a miss 1.8 times as large."""
    facts = season(12, depth_effect=0.06, planting_scatter=0.2)
    logged(book, facts)

    sheet = result(book)

    (depth,) = [each for each in sheet.effects if each.effect.factor is Factor.DEPTH]
    wanted = analyze_misses(facts).effects[0]
    assert depth.effect.direction is Direction.MORE
    # a little off, because in the log the time since tillage grows from row to row
    assert depth.effect.odds_ratio == pytest.approx(wanted.odds_ratio, rel=0.05)
    assert depth.alike is not None
    assert depth.alike.odds_ratio is not None
    assert 1.2 < depth.alike.odds_ratio < 4
    assert sheet.next is not None
    assert (sheet.next.proposal, sheet.next.factor) == (Proposal.STEP, Factor.DEPTH)
    assert depth.effect.tried is not None
    assert [depth.effect.tried[1] - 10] == pytest.approx(list(sheet.next.settings))
    assert (sheet.analysis.rows, sheet.unusable) == (60, 0)


def test_what_is_the_same_in_a_planting_has_no_like_there_and_crews_have_names(book: FarmBook) -> None:
    logged(book, season(30, wet_effect=1.2, rows_each=3))

    sheet = result(book)

    wet = next(
        each for each in sheet.effects if "wet" in (each.level, each.usual) and "moist" in (each.level, each.usual)
    )
    assert wet.effect.direction is (Direction.MORE if wet.level == "wet" else Direction.FEWER)
    assert wet.alike is None
    (crew,) = [each for each in sheet.effects if each.effect.factor is Factor.CREW]
    assert {crew.level, crew.usual} == {"Crew A", "Crew B"}


def test_few_rows_say_how_many_more_it_takes(hand_day: HandDay) -> None:
    sheet = result(hand_day.book)

    assert (sheet.effects, sheet.next) == ((), None)
    assert not sheet.analysis.enough
    # ten rows and ten misses a factor; 6 misses in three rows make 5 rows, so ten rows decide
    assert (sheet.analysis.rows, sheet.analysis.rows_lacking, sheet.analysis.plantings_lacking) == (3, 7, 3)
    assert {left.why for left in sheet.analysis.left_out} >= {Why.NOT_RECORDED}


def test_a_check_that_is_too_old_says_nothing_of_moisture(hand_day: HandDay) -> None:
    """Of three rows two need a look of the last 24 hours before them."""
    book = hand_day.book
    book.add("soil_check", bed=hand_day.north, at=hand_day.later(-40).isoformat(), feel="moist")
    book.add("soil_check", bed=hand_day.south, at=hand_day.later(12).isoformat(), feel="wet")

    assert Factor.MOISTURE in {left.factor for left in result(book).analysis.left_out if left.why is Why.NOT_RECORDED}


def test_rows_that_cannot_be_are_left_out_and_counted(hand_day: HandDay) -> None:
    book = hand_day.book
    book.row(hand_day.leeks, 2, "10:00", None, [hand_day.cy])
    book.row(hand_day.leeks, 3, "11:00", "11:30", [hand_day.cy], misses=999)
    book.row(book.new_id(), 1, "12:00", "12:30", [hand_day.cy])

    sheet = result(book)

    assert (sheet.analysis.rows, sheet.unusable) == (3, 3)


def test_a_sowing_after_its_planting_gives_no_age(hand_day: HandDay) -> None:
    book = hand_day.book
    book.row(book.planting(hand_day.south, "Kale", 152.4, sown_on="2027-01-01"), 1, "11:00", "11:30", [])

    assert result(book).analysis.rows == 4


def test_a_season_of_two_hundred_beds_is_judged_in_few_questions(book: FarmBook) -> None:
    big_season(book)

    with questions(book.engine) as query:
        sheet = result(book)

    assert sheet.analysis.rows == 800
    assert len([statement for statement in query if "SELECT" in statement]) <= 20
