"""Tape samples and odd rows, planting by planting."""

import pytest

from shared_models.reports.common.filters import Filters
from shared_models.reports.stand.sheet import StandSheet, stand_sheet
from tests.shared_models.reports.support.farmbook import HandDay

#: a plant every 2 in on 20 in of tape, one missing at 8 in, two close together at 16 in
TAPE_MM = [0, 51, 102, 152, 254, 305, 356, 406, 411, 457]


def sheet(day: HandDay, filters: Filters | None = None) -> StandSheet:
    with day.book.reports() as reports:
        return stand_sheet(reports, filters or Filters())


def tape(day: HandDay, planting: str, places: list[int], hours: float = 240) -> None:
    at = day.later(hours).isoformat()
    day.book.add(
        "stand_count", planting=planting, at=at, row=1, sample_length_mm=508, plants=len(places), positions_mm=places
    )


def test_the_gaps_of_all_samples_of_a_planting_count_together(hand_day: HandDay) -> None:
    tape(hand_day, hand_day.onions, TAPE_MM)
    tape(hand_day, hand_day.onions, [0, 51, 102])

    (result,) = sheet(hand_day).evenness

    assert (result.label, result.spacing_mm) == ("Onion Varna (O1), Bed 1 (North)", 50.8)
    assert [sample.places_mm[-1] for sample in result.samples] == [457, 102]
    assert (result.evenness.gaps, result.evenness.multiples, result.evenness.skips) == (11, 1, (1,))
    assert result.evenness.quality_of_feed == pytest.approx(9 / 11)


def test_places_may_be_noted_in_any_order(hand_day: HandDay) -> None:
    tape(hand_day, hand_day.onions, TAPE_MM[::-1])

    assert sheet(hand_day).evenness[0].samples[0].places_mm == tuple(TAPE_MM)


@pytest.mark.parametrize("places", [[], [51]])
def test_a_count_without_two_places_is_no_tape_sample(hand_day: HandDay, places: list[int]) -> None:
    tape(hand_day, hand_day.onions, places)

    assert sheet(hand_day).evenness == ()


def test_a_planting_whose_sowing_is_not_here_has_no_spacing_to_go_by(hand_day: HandDay) -> None:
    lost = hand_day.book.add("planting", bed=hand_day.south, sowing=hand_day.book.new_id())
    tape(hand_day, lost, TAPE_MM)

    assert sheet(hand_day).evenness == ()


def test_a_row_with_far_more_misses_than_its_planting_is_odd(hand_day: HandDay) -> None:
    """19 of 20 misses in one of two equal rows; luck gives that 21 times in a million."""
    book = hand_day.book
    book.change("row_pass", hand_day.third, misses=1)
    row = book.row(hand_day.leeks, 2, "9:20", "9:40", [hand_day.cy], misses=19)

    (odd,) = sheet(hand_day).odd_rows

    assert odd.row.id == row
    assert (odd.places, odd.expected) == pytest.approx((200, 1.0))


def test_rows_of_other_days_or_crops_are_not_named(hand_day: HandDay) -> None:
    hand_day.book.row(hand_day.leeks, 2, "9:20", "9:40", [hand_day.cy], misses=19)

    assert sheet(hand_day, Filters(crop="onion")).odd_rows == ()


def test_more_misses_than_places_are_a_wrong_entry_and_no_odd_row(hand_day: HandDay) -> None:
    hand_day.book.row(hand_day.leeks, 2, "9:20", "9:40", [hand_day.cy], misses=999_999)

    result = sheet(hand_day)

    assert result.odd_rows == ()
    assert "check the rows" in result.stands.plantings[-1].issues[0]
