"""Readiness of beds now and before."""

from datetime import UTC, date, datetime, timedelta

import pytest

from shared_models.core.vocabulary import Readiness
from shared_models.reports.common.filters import Filters
from shared_models.reports.soil.beds import TILLED_AFTER, BedSoil, soil
from tests.shared_models.reports.support.farmbook import DAY, FarmBook, HandDay


def of(book: FarmBook, bed: str, now: datetime, filters: Filters | None = None) -> BedSoil:
    with book.reports() as reports:
        report = soil(reports, now, filters)
    return next(each for each in report.beds if each.bed_id == bed)


def check(
    book: FarmBook, bed: str, clock: str, tilled: str | None = None, day: date | None = None, **seen: object
) -> str:
    tilled_at = {"tilled_at": book.at(tilled).isoformat()} if tilled else {}
    return book.add("soil_check", bed=bed, at=book.at(clock, day).isoformat(), **tilled_at, **seen)


def test_a_wet_bed_waits_and_the_reason_is_moisture(hand_day: HandDay) -> None:
    check(hand_day.book, hand_day.north, "7:00", feel="wet", residue_pct=5.0)

    bed = of(hand_day.book, hand_day.north, hand_day.later(8))

    assert bed.now
    assert bed.now.readiness is Readiness.WAIT
    assert bed.now.limiting
    assert bed.now.limiting.factor == "moisture"
    assert bed.checked_h_ago == 1
    assert not bed.stale


def test_hours_since_tillage_are_counted_to_the_check_and_for_now_to_now(hand_day: HandDay) -> None:
    """Tilled at 6:00, looked at 7:00: 1 hour, ready. 73 hours after tillage the bed has settled."""
    check(hand_day.book, hand_day.north, "7:00", tilled="6:00", feel="moist")

    bed = of(hand_day.book, hand_day.north, hand_day.later(6 + 73))

    assert bed.checks[0].observed.hours_since_tillage == 1
    assert bed.checks[0].verdict.readiness is Readiness.READY
    assert bed.now
    assert bed.now.readiness is Readiness.WAIT
    assert bed.now.limiting
    assert bed.now.limiting.factor == "tillage"
    assert bed.now.limiting.seen == 73


def test_a_check_without_tillage_takes_it_from_the_check_before(hand_day: HandDay) -> None:
    check(hand_day.book, hand_day.north, "7:00", tilled="6:00", feel="moist")
    check(hand_day.book, hand_day.north, "9:00", feel="moist")

    latest, first = of(hand_day.book, hand_day.north, hand_day.later(10)).checks

    assert (latest.observed.hours_since_tillage, first.observed.hours_since_tillage) == (3, 1)


def test_tillage_after_the_check_is_not_used_and_asks_for_a_look(hand_day: HandDay) -> None:
    check(hand_day.book, hand_day.north, "7:00", tilled="8:00", feel="moist")

    (reading,) = of(hand_day.book, hand_day.north, hand_day.later(9)).checks

    assert reading.observed.hours_since_tillage is None
    assert reading.issues == (TILLED_AFTER,)


@pytest.mark.parametrize(("hours", "stale"), [(24, False), (25, True), (-1, True)])
def test_an_old_check_no_longer_says_how_the_bed_is(hand_day: HandDay, hours: float, stale: bool) -> None:
    """A check from the future (a wrong clock) says nothing of now either."""
    check(hand_day.book, hand_day.north, "7:00", feel="moist")

    assert of(hand_day.book, hand_day.north, hand_day.later(7 + hours)).stale is stale


def test_the_farms_limits_hold_over_the_usual_ones_and_words_go_by_rank(hand_day: HandDay) -> None:
    hand_day.book.farm(thresholds={"residue_wait_pct": 3.0, "wettest_fit": 3.0})
    check(hand_day.book, hand_day.north, "7:00", feel="wet", residue_pct=2.0)
    check(hand_day.book, hand_day.south, "7:00", feel="wet", residue_pct=5.0)

    north, south = (of(hand_day.book, bed, hand_day.later(8)).now for bed in (hand_day.north, hand_day.south))

    assert north
    assert north.readiness is Readiness.READY
    assert south
    assert south.limiting
    assert (south.limiting.factor, south.limiting.limit) == ("residue", 3.0)


@pytest.mark.parametrize("limits", [{"residue_wait_pct": 200.0}, {"wettest_fit": 99.0}, {"driest_fit": 4.0}])
def test_limits_that_cannot_be_are_passed_over(hand_day: HandDay, limits: dict[str, float]) -> None:
    hand_day.book.farm(thresholds=limits)
    check(hand_day.book, hand_day.north, "7:00", feel="moist", residue_pct=2.0)

    now = of(hand_day.book, hand_day.north, hand_day.later(8)).now

    assert now
    assert now.readiness is Readiness.READY


def test_every_bed_in_use_is_listed_and_a_retired_one_only_for_its_history(hand_day: HandDay) -> None:
    book = hand_day.book
    checked, unchecked = book.bed("Bed 8", retired=True), book.bed("Bed 9", retired=True)
    check(book, checked, "7:00", feel="moist")
    unknown = book.new_id()
    check(book, unknown, "7:00", feel="moist")

    with book.reports() as reports:
        listed = {bed.bed_id: bed for bed in soil(reports, hand_day.later(8)).beds}

    assert listed.keys() == {hand_day.north, hand_day.south, checked, unknown}
    assert listed[hand_day.north].now is None
    assert listed[checked].retired
    assert listed[unknown].bed == "unknown bed"
    assert unchecked not in listed


def test_the_history_can_be_narrowed_to_days_while_now_stays_the_latest(hand_day: HandDay) -> None:
    book, before = hand_day.book, DAY - timedelta(days=1)
    check(book, hand_day.north, "7:00", feel="wet", day=before)
    check(book, hand_day.north, "7:00", feel="moist")

    bed = of(book, hand_day.north, hand_day.later(8), Filters(day=before, bed=hand_day.north))

    assert [reading.verdict.readiness for reading in bed.checks] == [Readiness.WAIT]
    assert bed.now
    assert bed.now.readiness is Readiness.READY


def test_voided_and_flagged_checks_are_left_out(hand_day: HandDay) -> None:
    book = hand_day.book
    book.change("soil_check", check(book, hand_day.north, "7:00", feel="wet"), voided=True)
    book.flag("soil_check", bed=hand_day.north, at=book.at("7:30").isoformat(), residue_pct=140)

    assert of(book, hand_day.north, hand_day.later(8)).checks == ()


def test_a_check_at_the_ends_of_what_a_record_may_say_breaks_no_other(hand_day: HandDay) -> None:
    """As cold as it may be, and at the first and last moment, as a wrong clock may say."""
    check(hand_day.book, hand_day.north, "7:00", feel="moist", soil_c=-40.0)
    check(hand_day.book, hand_day.south, "7:00", feel="moist")
    for at in (datetime(1900, 1, 1, tzinfo=UTC), datetime(2200, 12, 31, 23, 59, tzinfo=UTC)):
        hand_day.book.add("soil_check", bed=hand_day.south, at=at.isoformat(), feel="wet")

    north, south = (of(hand_day.book, bed, hand_day.later(8)) for bed in (hand_day.north, hand_day.south))

    assert north.now
    assert north.now.limiting
    assert north.now.limiting.factor == "soil_temperature"
    assert [reading.observed.feel for reading in south.checks] == ["wet", "moist", "wet"]
