"""Wrong codes and passwords are counted by key and time."""

from datetime import UTC, datetime, timedelta

import pytest

from server.auth.rate_limit import MAX_FAILURES, WINDOW, RateLimiter, client_key
from shared_models.errors import ExpiredCode, TooManyTries

NOON = datetime(2026, 5, 14, 12, tzinfo=UTC)


def fail(limiter: RateLimiter, *keys: str, now: datetime = NOON) -> None:
    with pytest.raises(ExpiredCode), limiter.attempt(keys, now, ExpiredCode):
        raise ExpiredCode


def pass_by(limiter: RateLimiter, *keys: str, now: datetime = NOON) -> None:
    with limiter.attempt(keys, now, ExpiredCode):
        """It was the right one."""


def wait_of(limiter: RateLimiter, *keys: str, now: datetime = NOON) -> int:
    with pytest.raises(TooManyTries) as refused, limiter.attempt(keys, now, ExpiredCode):
        pytest.fail("the try was let in")
    return refused.value.wait_s


def test_one_place_waits_until_its_next_try_passes_and_others_do_not_wait() -> None:
    limiter, then = RateLimiter(), NOON + timedelta(seconds=MAX_FAILURES)
    for second in range(MAX_FAILURES):
        fail(limiter, "barn", now=NOON + timedelta(seconds=second))

    pass_by(limiter, "field", now=then)
    wait = wait_of(limiter, "barn", now=then)
    assert wait == WINDOW.total_seconds() - MAX_FAILURES
    pass_by(limiter, "barn", now=then + timedelta(seconds=wait))


def test_places_of_long_ago_take_no_memory() -> None:
    limiter = RateLimiter()
    for key in range(1000):
        fail(limiter, str(key))

    fail(limiter, "barn", now=NOON + WINDOW)

    assert limiter._failures.keys() == {"barn"}


def test_an_attempt_counts_as_failed_until_it_succeeds_or_ends_in_another_error() -> None:
    limiter = RateLimiter(max_failures=1)

    with limiter.attempt(("barn",), NOON, ExpiredCode):
        assert wait_of(limiter, "barn") > 0
    with pytest.raises(OSError, match="full"), limiter.attempt(("barn",), NOON, ExpiredCode):
        raise OSError("full")

    pass_by(limiter, "barn")


def test_a_try_that_is_not_let_in_counts_nowhere() -> None:
    limiter = RateLimiter(max_failures=1)
    fail(limiter, "name ana")

    wait_of(limiter, "address barn", "name ana")

    pass_by(limiter, "address barn")


def test_how_many_tries_in_which_time_is_chosen() -> None:
    limiter = RateLimiter(max_failures=2, window=timedelta(hours=1))
    for _ in range(2):
        fail(limiter, "barn")

    assert wait_of(limiter, "barn", now=NOON + timedelta(minutes=59)) == 60


def test_a_clock_that_is_set_back_locks_nobody_out() -> None:
    limiter = RateLimiter(max_failures=1)
    fail(limiter, "barn", now=NOON + timedelta(days=365))

    pass_by(limiter, "barn", now=NOON)


@pytest.mark.parametrize(
    ("host", "key"),
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
def test_all_the_addresses_of_one_network_are_one_place(host: str, key: str) -> None:
    """A machine may take any address of its IPv6 network; it gets no more limiter by it."""
    assert client_key(host) == key


def test_a_flood_of_keys_takes_bounded_memory_and_frees_nobody_who_must_wait() -> None:
    limiter = RateLimiter(max_failures=2, max_keys=10)
    for _ in range(2):
        fail(limiter, "barn")
    for number in range(100):
        fail(limiter, f"name {number}", f"address {number}", now=NOON + timedelta(seconds=1))

    assert len(limiter._failures) == 10
    assert wait_of(limiter, "barn") > 0
