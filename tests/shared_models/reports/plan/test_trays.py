"""Trays of a sowing: the verdict, the empties to expect, the label, and whether there are enough of them."""

from datetime import date, timedelta
from typing import Any

import pytest

from shared_models.core.vocabulary import Readiness
from shared_models.reports.plan.trays import Basis, SowingTrays, places_of, sowing_trays, tray_checks
from shared_models.trade.raising.empties import empties_not_exceeded, trays_to_sow
from shared_models.trade.raising.growing_time import Guide
from tests.shared_models.reports.support.farmbook import DAY, FarmBook, HandDay

SOWN = DAY - timedelta(days=50)


@pytest.fixture
def book(hand_day: HandDay) -> FarmBook:
    return hand_day.book


def sow(book: FarmBook, **fields: Any) -> str:
    result = {"crop": "scallion", "spacing_mm": 50.8, "code": "SC-1", "sown_on": SOWN.isoformat()}
    return book.add("sowing", **(result | fields))


def check(book: FarmBook, sowing: str, on: date = DAY, seen: int = 264, empty: int = 11, **more: Any) -> str:
    result = {"leaves": 3, "roots_hold": True} | more
    return book.add("tray_check", sowing=sowing, on=on.isoformat(), cells_seen=seen, cells_empty=empty, **result)


def of(book: FarmBook, sowing: str, today: date = DAY) -> SowingTrays:
    with book.reports() as reports:
        names, checks = reports.references, tray_checks(reports)[sowing]
        return sowing_trays(reports.farm, names.sowings[sowing], checks, places_of(names).get(sowing), today)


def test_a_sowing_that_nobody_looked_at_has_no_verdict_and_goes_by_its_label(book: FarmBook) -> None:
    result = of(book, sow(book, label_germination=0.9))

    assert (result.checks, result.now, result.seen, result.germination_seen, result.below_label) == (
        (),
        None,
        None,
        None,
        None,
    )
    assert result.empties == result.by_label
    assert result.empties
    assert result.empties.basis is Basis.LABEL
    assert result.empties.expected == pytest.approx(26.4)
    assert result.empties.low < 26.4 < result.empties.high


def test_the_latest_check_is_judged_and_again_as_time_goes_by(book: FarmBook) -> None:
    """Scallions: 6 to 8 weeks. On day 50 ready, on day 77 older than its window, on day 78 by three weeks and a day."""
    sowing = sow(book)
    check(book, sowing, DAY - timedelta(days=7), roots_hold=False)
    check(book, sowing)

    now, late, over = (of(book, sowing, SOWN + timedelta(days=day)) for day in (50, 77, 78))

    assert [reading.observed.on for reading in now.checks] == [DAY, DAY - timedelta(days=7)]
    assert [reading.verdict.readiness for reading in now.checks] == [Readiness.READY, Readiness.WAIT]
    readiness = [each.now.readiness for each in (now, late, over) if each.now]
    assert readiness == [Readiness.READY, Readiness.READY, Readiness.NOT_FIT]


def test_the_farms_own_window_outranks_the_guides(book: FarmBook) -> None:
    guided = of(book, sow(book)).window
    own = of(book, sow(book, ready_from="2026-05-10", ready_until="2026-05-20")).window
    late_start = of(book, sow(book, ready_from="2026-08-01")).window

    assert guided
    assert (guided.ready_from, guided.guide) == (SOWN + timedelta(days=42), Guide.MEMORY)
    assert own
    assert (own.ready_from, own.ready_until, own.guide) == (date(2026, 5, 10), date(2026, 5, 20), Guide.FARM)
    assert late_start
    assert (late_start.ready_from, late_start.ready_until) == (date(2026, 8, 1), date(2026, 8, 1))


def test_without_a_day_of_sowing_there_is_no_window(book: FarmBook) -> None:
    assert of(book, sow(book, sown_on=None)).window is None
    assert of(book, sow(book, crop="sorrel")).window is None


def test_checks_outrank_the_label_and_scatter_between_them_widens_the_range(book: FarmBook) -> None:
    """Ten of a hundred, all alike, against none and twenty: the same share, a wider range."""
    even, uneven = sow(book), sow(book)
    for sowing, counts in ((even, (10, 10)), (uneven, (0, 20))):
        for empty in counts:
            check(book, sowing, seen=100, empty=empty)

    one, other = of(book, even), of(book, uneven)

    assert one.empties
    assert other.empties
    assert (one.empties.basis, one.empties.p_empty) == (Basis.CHECKS, 0.1)
    assert one.empties.expected == other.empties.expected == pytest.approx(26.4)
    assert one.empties.low == empties_not_exceeded(0.05, 264, 0.1)
    assert other.empties.high > one.empties.high


@pytest.mark.parametrize(("empty", "below"), [(30, False), (36, True)])
def test_only_more_empties_than_chance_leaves_open_speak_against_the_label(
    book: FarmBook, empty: int, below: bool
) -> None:
    """Of 264 cells at 90%, 26 are expected empty and 34 are not exceeded 19 times of 20."""
    sowing = sow(book, label_germination=0.9)
    check(book, sowing, empty=empty)

    result = of(book, sowing)

    assert result.below_label is below
    assert result.germination_seen == pytest.approx(1 - empty / 264)


def test_trays_that_differ_still_speak_against_the_label_together(book: FarmBook) -> None:
    """Six trays at 85% have 238 empty cells to expect. With 20 to 90 each, 258 in all may be chance, 350 may not."""
    alike, worse = ((22, 26, 33, 46, 57, 74), (30, 38, 52, 66, 76, 88))
    sowings = [sow(book, label_germination=0.85) for _ in (alike, worse)]
    for sowing, counts in zip(sowings, (alike, worse), strict=True):
        for empty in counts:
            check(book, sowing, empty=empty)

    assert [of(book, sowing).below_label for sowing in sowings] == [False, True]


def test_a_tray_of_more_cells_than_anybody_sows_tells_nothing_of_its_empties(book: FarmBook) -> None:
    """And takes no seconds to say so."""
    sowing = sow(book, cells_per_tray=1_000_000, label_germination=0.9)
    check(book, sowing, seen=1_000_000, empty=500_000)

    result = of(book, sowing)

    assert (result.empties, result.by_label, result.below_label) == (None, None, None)


def test_trays_are_counted_for_the_beds_that_the_sowing_is_planned_for(book: FarmBook) -> None:
    """Two beds of 3 rows of 100 ft at 2 in: 3,600 plants, 14 trays and no cell to spare; so more for the empty ones."""
    sowing = sow(book, trays=14)
    for name in ("East", "West"):
        book.add("planting", bed=book.bed(name), sowing=sowing)
    check(book, sowing, empty=26)

    result = of(book, sowing)
    needed = trays_to_sow(3600, 26 / 264, 0.9)

    assert result.places == 3600
    assert result.to_sow == needed
    assert needed.extra == 2
    assert result.short_by == needed.trays - 14


def test_without_a_planting_the_trays_are_to_fill_as_many_places_as_they_have_cells(book: FarmBook) -> None:
    planned, unknown = sow(book, trays=10, label_germination=0.9), sow(book, label_germination=0.9)

    assert of(book, planned).places == 2640
    assert of(book, planned).short_by == 2
    assert (of(book, unknown).places, of(book, unknown).to_sow, of(book, unknown).short_by) == (None, None, None)


def test_where_hardly_a_cell_holds_a_plant_no_number_of_trays_is_reported(book: FarmBook) -> None:
    sowing = sow(book, trays=10)
    check(book, sowing, empty=264)

    result = of(book, sowing)

    assert result.to_sow is None
    assert result.now
    assert result.now.readiness is Readiness.NOT_FIT


def test_a_check_of_no_cells_says_nothing_of_empties(book: FarmBook) -> None:
    sowing = sow(book)
    check(book, sowing, seen=0, empty=0)

    result = of(book, sowing)

    assert (result.seen, result.empties, result.germination_seen) == (None, None, None)
    assert result.now
    assert "empties" in result.now.missing


def test_deleted_checks_are_left_out(book: FarmBook) -> None:
    sowing = sow(book)
    book.change("tray_check", check(book, sowing), voided=True)

    assert of(book, sowing).checks == ()


def test_the_farms_own_limits_count_unless_they_contradict_each_other(book: FarmBook) -> None:
    sowing = sow(book)
    check(book, sowing)

    book.farm(thresholds={"fewest_leaves": 4.0})
    strict = of(book, sowing).now
    book.farm(thresholds={"fewest_leaves": 9.0})
    contradictory = of(book, sowing).now

    assert strict
    assert contradictory
    assert (strict.readiness, contradictory.readiness) == (Readiness.WAIT, Readiness.READY)
