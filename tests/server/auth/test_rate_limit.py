"""Wrong codes and passwords are counted by place and time."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from server.auth.rate_limit import MOST, WITHIN, RateLimiter, place_of
from shared_models.errors import CodeSpent, TooManyTries

NOON = datetime(2026, 5, 14, 12, tzinfo=UTC)


def fail(tries: RateLimiter, *places: str, now: datetime = NOON) -> None:
    with pytest.raises(CodeSpent), tries.counted(places, now, CodeSpent):
        raise CodeSpent


def pass_by(tries: RateLimiter, *places: str, now: datetime = NOON) -> None:
    with tries.counted(places, now, CodeSpent):
        """It was the right one."""


def wait_of(tries: RateLimiter, *places: str, now: datetime = NOON) -> int:
    """How long the next try from there has to wait."""
    with pytest.raises(TooManyTries) as refused, tries.counted(places, now, CodeSpent):
        pytest.fail("the try was let in")
    return refused.value.wait_s


def test_one_place_waits_and_others_do_not() -> None:
    tries = RateLimiter()
    for second in range(MOST):
        fail(tries, "barn", now=NOON + timedelta(seconds=second))

    pass_by(tries, "field", now=NOON + timedelta(seconds=MOST))
    assert wait_of(tries, "barn", now=NOON + timedelta(seconds=MOST)) == WITHIN.total_seconds() - MOST


def test_after_the_wait_the_next_try_passes() -> None:
    tries = RateLimiter()
    for _ in range(MOST):
        fail(tries, "barn")

    pass_by(tries, "barn", now=NOON + timedelta(seconds=wait_of(tries, "barn")))


def test_places_of_long_ago_take_no_memory() -> None:
    tries = RateLimiter()
    for place in range(1000):
        fail(tries, str(place))

    fail(tries, "barn", now=NOON + WITHIN)

    assert tries._failed.keys() == {"barn"}


def test_many_at_once_do_not_all_pass_before_the_first_has_failed() -> None:
    """A try counts as failed while nobody knows yet."""
    tries = RateLimiter(most=1)

    with tries.counted(("barn",), NOON, CodeSpent):
        assert wait_of(tries, "barn") > 0
    pass_by(tries, "barn")


def test_what_went_wrong_otherwise_is_no_wrong_try() -> None:
    """A full disk says nothing of the code."""
    tries = RateLimiter(most=1)

    with pytest.raises(OSError, match="full"), tries.counted(("barn",), NOON, CodeSpent):
        raise OSError("full")

    pass_by(tries, "barn")


def test_a_try_that_is_not_let_in_counts_nowhere() -> None:
    """Who is locked out in one place locks nobody out in another."""
    tries = RateLimiter(most=1)
    fail(tries, "name ana")

    wait_of(tries, "address barn", "name ana")

    pass_by(tries, "address barn")


def test_how_many_tries_in_which_time_is_chosen() -> None:
    tries = RateLimiter(most=2, within=timedelta(hours=1))
    for _ in range(2):
        fail(tries, "barn")

    assert wait_of(tries, "barn", now=NOON + timedelta(minutes=59)) == 60


def test_a_clock_that_is_set_back_locks_nobody_out() -> None:
    """What was noted by a clock years ahead is not waited for."""
    tries = RateLimiter(most=1)
    fail(tries, "barn", now=NOON + timedelta(days=365))

    pass_by(tries, "barn", now=NOON)


@pytest.mark.parametrize(
    ("host", "place"),
    [
        ("192.168.1.20", "192.168.1.20"),
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"),
        ("2001:db8:1:2::ffff", "2001:db8:1:2::/64"),
        ("fe80::1%eth0", "fe80::/64"),
        ("::ffff:192.168.1.20", "192.168.1.20"),
        ("testclient", "testclient"),
        ("", ""),
    ],
)
def test_all_the_addresses_of_one_network_are_one_place(host: str, place: str) -> None:
    """A machine may take any address of its IPv6 network; it gets no more tries by it."""
    assert place_of(host) == place
