"""Wrong codes and passwords are counted by place and time."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from server.tries import MOST, WITHIN, Tries
from shared_models.errors import TooManyTries

NOON = datetime(2026, 5, 14, 12, tzinfo=UTC)


def test_one_place_waits_and_others_do_not() -> None:
    tries = Tries()
    for second in range(MOST):
        tries.note_failure("barn", NOON + timedelta(seconds=second))

    tries.check("field", NOON + timedelta(seconds=MOST))
    with pytest.raises(TooManyTries) as refused:
        tries.check("barn", NOON + timedelta(seconds=MOST))

    assert refused.value.wait_s == WITHIN.total_seconds() - MOST


def test_after_the_wait_the_next_try_passes() -> None:
    tries = Tries()
    for _ in range(MOST):
        tries.note_failure("barn", NOON)
    with pytest.raises(TooManyTries) as refused:
        tries.check("barn", NOON)

    tries.check("barn", NOON + timedelta(seconds=refused.value.wait_s))


def test_places_of_long_ago_take_no_memory() -> None:
    tries = Tries()
    for place in range(1000):
        tries.note_failure(str(place), NOON)

    tries.check("barn", NOON + WITHIN)

    assert tries._failed == {}


def test_a_try_that_was_none_is_taken_back() -> None:
    """It is counted while nobody knows yet, so that many at once do not all pass."""
    tries = Tries(most=1)
    tries.note_failure("barn", NOON)
    tries.take_back("barn", NOON)
    tries.take_back("barn", NOON)

    tries.check("barn", NOON)


def test_how_many_tries_in_which_time_is_chosen() -> None:
    tries = Tries(most=2, within=timedelta(hours=1))
    for _ in range(2):
        tries.check("barn", NOON)
        tries.note_failure("barn", NOON)

    with pytest.raises(TooManyTries) as refused:
        tries.check("barn", NOON + timedelta(minutes=59))
    assert refused.value.wait_s == 60
