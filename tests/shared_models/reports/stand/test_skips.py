"""One tape: gaps sorted by the set spacing, and where the skips are."""

import pytest

from shared_models.reports.stand.skips import Skip, one_tape

#: at 50 mm: a single, a multiple, a skip of one, a single
PLACES = [10, 60, 70, 170, 220]


def test_gaps_are_sorted_and_skips_have_their_place() -> None:
    tape = one_tape(PLACES, 50)

    assert tape.plants == 5
    assert tape.evenness
    assert (tape.evenness.singles, tape.evenness.multiples, tape.evenness.miss_index) == (2, 1, 0.25)
    assert tape.skips == (Skip(70, 100, 1),)


def test_the_order_of_the_taps_does_not_matter() -> None:
    assert one_tape(PLACES[::-1], 50) == one_tape(PLACES, 50)


@pytest.mark.parametrize("places", [[], [300]])
def test_fewer_than_two_plants_have_no_gap(places: list[float]) -> None:
    tape = one_tape(places, 50)

    assert (tape.plants, tape.evenness, tape.skips) == (len(places), None, ())
