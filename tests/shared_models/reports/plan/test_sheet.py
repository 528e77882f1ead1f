"""The plan: what each planting takes, when to sow for it, week by week, and what cannot be done. To check by hand."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from shared_models.core.moments import Moment
from shared_models.reports.common.filters import Filters
from shared_models.reports.plan.sheet import PlanSheet, plan
from shared_models.trade.planning.conflicts import ConflictKind
from shared_models.trade.raising.growing_time import Guide
from tests.shared_models.reports.support.big_season import big_season, questions
from tests.shared_models.reports.support.farmbook import DAY, FarmBook, HandDay

LATER = DAY + timedelta(days=16)


def planned(book: FarmBook, today: date = DAY, **query: Any) -> PlanSheet:
    with book.reports() as reports:
        return plan(reports, today, Filters(**query))


def wish(book: FarmBook, bed: str, on: date, crop: str = "Lettuce", **sowing: Any) -> str:
    sown = book.add("sowing", **({"crop": crop, "spacing_mm": 152.4} | sowing))
    return book.add("planting", bed=bed, sowing=sown, planned_on=on.isoformat())


def kinds(sheet: PlanSheet) -> list[ConflictKind]:
    return [each.kind for each in sheet.conflicts]


def test_a_planting_is_worked_back_from_its_day(hand_day: HandDay) -> None:
    """Three rows of 100 ft at 6 in: 600 plants, 3 trays of 264 cells, 396 ft of chain; lettuce takes 4 to 6 weeks."""
    hand_day.book.farm(thresholds={"mix_l_per_tray": 4.5})
    wish(hand_day.book, hand_day.book.bed("Bed 3"), DAY + timedelta(days=40), seeds_per_cell=2)

    (line,) = planned(hand_day.book).plantings

    assert line.takes is not None
    assert (line.takes.plants, line.takes.trays, line.takes.seeds, line.takes.mix_l) == (600, 3, 1584, 13.5)
    assert line.takes.chain_mm == pytest.approx(3 * 264 * 152.4)
    assert (line.sow_from, line.sow_by) == (DAY - timedelta(days=2), DAY + timedelta(days=12))
    assert (line.sown, line.guide, line.early_days, line.late_days) == (False, Guide.MID_ATLANTIC, 0, 0)


def test_spare_trays_are_for_the_empty_cells_to_expect(hand_day: HandDay) -> None:
    """600 plants of 3 trays leave 192 cells over: enough at 95 %, too few when every second seed fails."""
    good = wish(hand_day.book, hand_day.south, LATER, label_germination=0.95)
    poor = wish(hand_day.book, hand_day.north, LATER, label_germination=0.5)

    trays = {line.planting_id: line.takes.trays for line in planned(hand_day.book).plantings if line.takes}

    assert trays[good] == 3
    assert trays[poor] == 5


def test_the_farms_own_days_outrank_the_guides(hand_day: HandDay) -> None:
    book = hand_day.book
    book.add(
        "sowing",
        crop="lettuce",
        spacing_mm=152.4,
        sown_on="2026-03-01",
        ready_from="2026-03-22",
        ready_until="2026-03-31",
    )
    wish(book, hand_day.south, date(2026, 6, 30))

    (line,) = planned(book).plantings

    assert (line.sow_from, line.sow_by) == (date(2026, 5, 31), date(2026, 6, 9))
    assert line.guide is Guide.FARM


def test_hours_go_by_the_farms_own_rows_of_the_crop_else_by_all(hand_day: HandDay) -> None:
    """Cy plants 100 ft of leeks in half an hour, three times; two rows of onions make no rate."""
    book = hand_day.book
    book.row(hand_day.leeks, 2, "9:15", "9:45", [hand_day.cy])
    book.row(hand_day.leeks, 3, "9:45", "10:15", [hand_day.cy])
    wish(book, hand_day.book.bed("Bed 3"), LATER, crop="leek")
    wish(book, hand_day.book.bed("Bed 4"), LATER, crop="Chard")

    sheet = planned(book)

    chard, leek = sheet.plantings
    assert leek.rate is not None
    assert (leek.rate.crop, leek.rate.rows) == ("Leek", 3)
    assert leek.person_h == pytest.approx(1.5)
    assert chard.rate is not None
    assert (chard.rate.crop, chard.rate.rows) == (None, 5)
    assert {each.crop for each in sheet.rates} == {"Leek", None}


def test_a_farm_without_a_row_has_no_hours_yet(book: FarmBook) -> None:
    book.farm()
    wish(book, book.bed("Bed 1"), LATER)

    sheet = planned(book)

    assert (sheet.plantings[0].person_h, sheet.rates, sheet.weeks[-1].planting_h) == (None, (), None)
    assert sheet.weeks[-1].hours is None


def test_the_weeks_tell_bench_plants_and_hours(hand_day: HandDay) -> None:
    """Sown 20 April, planned for 20 May: 3 trays stand in three weeks from 4 May on, and 600 plants are set."""
    book = hand_day.book
    book.farm(thresholds={"trays_sown_per_h": 6, "tending_h_per_tray_week": 0.5})
    wish(book, hand_day.south, LATER, sown_on="2026-04-20", trays=3)
    wish(book, hand_day.north, date(2026, 6, 10), sown_on="2026-05-13", trays=3)

    weeks = planned(book).weeks

    assert [week.monday.isoformat() for week in weeks[:3]] == ["2026-05-04", "2026-05-11", "2026-05-18"]
    assert [week.trays for week in weeks] == [3, 6, 6, 3, 3, 3]
    assert [week.trays_to_sow for week in weeks] == [0, 3, 0, 0, 0, 0]
    assert [week.plants for week in weeks] == [0, 0, 600, 0, 0, 600]
    assert [week.sowing_h for week in weeks[:2]] == [0, 0.5]
    assert weeks[0].tending_h == pytest.approx(1.5)
    # 300 ft at the 200 to 218 ft an hour and person of the day: 2 rows by two, 1 alone
    assert weeks[2].planting_h == pytest.approx(300 / (300 / (2 * 0.5 + 0.5)))


def test_trays_too_young_or_too_old_on_the_day_are_named(hand_day: HandDay) -> None:
    wish(hand_day.book, hand_day.book.bed("Bed 3"), LATER, sown_on="2026-05-01", crop="Onion")
    wish(hand_day.book, hand_day.north, LATER + timedelta(days=60), sown_on="2026-05-01")

    old, young = planned(hand_day.book).conflicts

    assert (young.kind, young.needed, young.begins) == (ConflictKind.TOO_YOUNG, 44, date(2026, 7, 3))
    assert (old.kind, old.needed, old.begins) == (ConflictKind.TOO_OLD, 37, date(2026, 6, 12))
    assert young.plantings == ("Onion, Bed 3",)


def test_a_bed_that_was_planted_lately_is_named(hand_day: HandDay) -> None:
    """Bed 1 was planted on 4 May and holds for four weeks unless the farm says otherwise."""
    wish(hand_day.book, hand_day.north, LATER, sown_on="2026-04-20")

    (twice,) = planned(hand_day.book).conflicts
    hand_day.book.farm(thresholds={"bed_held_days": 14})

    assert (twice.kind, twice.bed) == (ConflictKind.BED_TWICE, "Bed 1 (North)")
    assert twice.plantings == ("Onion Varna (O1), Bed 1 (North)", "Lettuce, Bed 1 (North)")
    assert planned(hand_day.book).conflicts == ()


def test_a_planting_that_finds_too_few_trays_is_named(hand_day: HandDay) -> None:
    book = hand_day.book
    wish(book, hand_day.south, LATER, sown_on="2026-04-20", trays=2)

    (short,) = [each for each in planned(book).conflicts if each.kind is ConflictKind.TRAYS_SHORT]

    assert (short.needed, short.available) == (3, 2)


def test_full_benches_and_short_weeks_are_named_where_the_farm_tells_its_room(hand_day: HandDay) -> None:
    book, bed = hand_day.book, hand_day.book.bed("Bed 3")
    wish(book, bed, LATER, sown_on="2026-04-20", trays=3)

    assert kinds(planned(book)) == []
    book.farm(thresholds={"bench_room_trays": 2, "hours_a_week": 1})

    found = planned(book).conflicts
    assert [each.kind for each in found] == [ConflictKind.BENCH_FULL] * 3 + [ConflictKind.HOURS_SHORT]


def test_days_that_have_gone_by_are_named_and_the_work_is_still_to_do(hand_day: HandDay) -> None:
    book = hand_day.book
    wish(book, book.bed("Bed 3"), DAY - timedelta(days=3), sown_on="2026-03-30")
    wish(book, book.bed("Bed 4"), DAY + timedelta(days=10))

    sheet = planned(book)

    assert kinds(sheet) == [ConflictKind.SOWING_PAST, ConflictKind.PLANTING_PAST]
    assert (sheet.plantings[0].plant_on, sheet.weeks[0].plants) == (DAY, 600)
    assert (sheet.plantings[1].sow_on, sheet.weeks[0].trays_to_sow) == (DAY, 3)


def test_what_is_begun_deleted_or_of_an_earlier_season_is_not_planned(hand_day: HandDay) -> None:
    book = hand_day.book
    book.change("planting", hand_day.onions, planned_on=DAY.isoformat())
    gone = wish(book, hand_day.south, LATER)
    book.change("planting", gone, voided=True)
    wish(book, hand_day.south, date(2025, 6, 1))
    wish(book, hand_day.south, date(2200, 12, 31))

    assert planned(book).plantings == ()


def test_trays_without_a_planting_are_reported_as_long_as_they_can_be_planted(hand_day: HandDay) -> None:
    """Lettuce sown 6 April is ready from 4 May to 18 May; 4 trays of it are for Bed 1, with 3."""
    book = hand_day.book
    sowing = book.add("sowing", crop="lettuce", spacing_mm=152.4, sown_on="2026-04-06", trays=4)
    book.add("planting", bed=hand_day.north, sowing=sowing, planned_on="2026-05-06")
    book.add("sowing", crop="lettuce", spacing_mm=152.4, sown_on="2026-03-01", trays=4)

    sheet = planned(book)

    (waiting,) = sheet.waiting
    assert (waiting.sowing.id, waiting.trays, waiting.window.ready_until) == (sowing, 1, date(2026, 5, 18))
    assert [week.trays for week in sheet.weeks] == [4, 1]
    assert planned(book, DAY + timedelta(days=15)).waiting == ()


def test_what_is_not_sown_is_added_up_as_the_order(hand_day: HandDay) -> None:
    book = hand_day.book
    wish(book, hand_day.south, LATER, sown_on="2026-04-20", trays=3)
    wish(book, hand_day.north, date(2026, 8, 1), crop="Chard", ready_from="2026-07-01", ready_until="2026-09-01")

    sheet = planned(book)

    assert (sheet.total.plants, sheet.total.trays) == (1200, 6)
    assert (sheet.to_sow.trays, sheet.to_sow.seeds) == (3, {"Chard": 792})


def test_a_crop_planted_again_and_again_gets_its_next_days(hand_day: HandDay) -> None:
    """Lettuce on 10, 20 and 30 April and 14 May: gaps of 10, 10 and 14 days."""
    book = hand_day.book
    for on in (date(2026, 4, 10), date(2026, 4, 20), date(2026, 4, 30), date(2026, 5, 14)):
        wish(book, hand_day.south, on)

    (ahead,) = planned(book).successions

    assert (ahead.crop, ahead.every_days, ahead.gaps, ahead.last) == ("Lettuce", 10, 3, date(2026, 5, 14))
    # sown today it is ready on 1 June, so 24 May cannot be had any more
    assert [each.plant_on for each in ahead.next] == [date(2026, 6, 3), date(2026, 6, 13), date(2026, 6, 23)]
    assert ahead.next[0].sow_by == date(2026, 5, 6)


def test_two_plantings_are_too_few_to_tell_what_is_next(hand_day: HandDay) -> None:
    wish(hand_day.book, hand_day.south, date(2026, 4, 20))
    wish(hand_day.book, hand_day.south, date(2026, 5, 20))

    assert planned(hand_day.book).successions == ()


def test_days_at_the_end_of_the_calendar_tell_nothing_of_what_is_next(hand_day: HandDay) -> None:
    book = hand_day.book
    for on in (date(2026, 5, 20), date(2026, 5, 30), date(2026, 6, 9), date(2200, 12, 31)):
        wish(book, hand_day.south, on)
    book.add(
        "sowing",
        crop="Chard",
        spacing_mm=152.4,
        sown_on="1900-01-01",
        ready_from="1900-01-02",
        ready_until="2200-12-31",
    )
    wish(book, hand_day.north, LATER, crop="Chard")
    wish(book, hand_day.north, LATER, crop="Sorrel", sown_on="2200-12-31")
    far = book.planting(hand_day.north, "Kale", 152.4)
    never = Moment(datetime(2200, 12, 31, 23, 59, tzinfo=UTC))
    book.row(far, 1, never, never, [])

    sheet = planned(book)

    assert [(each.crop, each.every_days) for each in sheet.successions] == [("Lettuce", 10)]
    assert [line.place.crop for line in sheet.plantings].count("Chard") == 1
    assert len(sheet.weeks) < 60


def test_records_that_have_not_arrived_or_cannot_be_break_nothing(hand_day: HandDay) -> None:
    book = hand_day.book
    book.add("planting", bed=book.new_id(), sowing=book.new_id(), planned_on=LATER.isoformat())
    wish(book, hand_day.south, LATER, cells_per_tray=0, seeds_per_cell=0, label_germination=0.0, trays=5)
    wish(book, hand_day.north, LATER, label_germination=0.0, sown_on="1900-01-01")
    wish(book, book.new_id(), LATER)
    for sown_on, until in (("2200-12-31", "2200-12-31"), ("2026-05-01", "2200-12-31"), ("2026-05-01", None)):
        book.add("sowing", crop="Lettuce", spacing_mm=152.4, sown_on=sown_on, ready_until=until, trays=2)
    book.add("sowing", crop="Lettuce", spacing_mm=152.4, sown_on="2026-05-01", trays=2, cells_per_tray=0)
    gone = book.planting(hand_day.south, "Kale", 152.4)
    book.row(gone, 1, "10:00", "10:10", [])
    book.change("planting", gone, voided=True)
    book.row(book.new_id(), 1, "11:00", "11:10", [])
    book.farm(thresholds={"bed_held_days": 1e9, "trays_sown_per_h": 0, "hours_a_week": -1, "bench_room_trays": 1e9})

    sheet = planned(book)

    assert len(sheet.plantings) == 4
    assert [line.takes is None for line in sheet.plantings].count(True) == 3
    assert len(sheet.weeks) < 60


def test_the_plan_is_asked_by_bed_and_crop(hand_day: HandDay) -> None:
    book = hand_day.book
    wish(book, hand_day.south, LATER)
    wish(book, hand_day.north, LATER, crop="Chard")

    assert [line.place.crop for line in planned(book, bed=hand_day.south).plantings] == ["Lettuce"]
    assert [line.place.crop for line in planned(book, crop="chard").plantings] == ["Chard"]


def test_a_plan_of_two_hundred_beds_is_read_in_few_questions(book: FarmBook) -> None:
    big_season(book)

    with questions(book.engine) as query:
        sheet = planned(book, DAY - timedelta(days=30))

    assert sheet.plantings == ()
    assert len([statement for statement in query if "SELECT" in statement]) <= 15
