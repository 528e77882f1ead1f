import math
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.pace.hours import clock_hours


def result(begin: datetime, hours: float, zone: str) -> list[tuple[str, int]]:
    """Hours as they are written, with the minutes of the stretch that lie in each."""
    cut = clock_hours(begin, hours * 3600, ZoneInfo(zone))
    return [(hour.isoformat(), round(share * hours * 60)) for hour, share in cut]


def test_hours_are_cut_on_the_farms_clock_and_not_on_utc() -> None:
    """Nepal is 5 h 45 min ahead: its full hours fall at a quarter past in UTC."""
    assert result(datetime(2026, 5, 4, 2, 0, tzinfo=UTC), 1, "Asia/Kathmandu") == [
        ("2026-05-04T07:00:00+05:45", 15),
        ("2026-05-04T08:00:00+05:45", 45),
    ]


def test_a_spring_night_skips_an_hour() -> None:
    assert result(datetime(2026, 3, 8, 6, 30, tzinfo=UTC), 1, "America/New_York") == [
        ("2026-03-08T01:00:00-05:00", 30),
        ("2026-03-08T03:00:00-04:00", 30),
    ]


def test_a_clock_that_moves_half_an_hour_ends_the_hour() -> None:
    assert result(datetime(2025, 4, 5, 14, 0, tzinfo=UTC), 2, "Australia/Lord_Howe") == [
        ("2025-04-06T01:00:00+11:00", 60),
        ("2025-04-06T01:30:00+10:30", 30),
        ("2025-04-06T02:00:00+10:30", 30),
    ]
    assert result(datetime(2025, 10, 4, 15, 0, tzinfo=UTC), 1.5, "Australia/Lord_Howe") == [
        ("2025-10-05T01:00:00+10:30", 30),
        ("2025-10-05T02:30:00+11:00", 30),
        ("2025-10-05T03:00:00+11:00", 30),
    ]


def test_a_clock_that_moves_inside_an_hour_ends_the_hour() -> None:
    """Newfoundland moved its clocks at one minute past midnight until 2011."""
    assert [hour for hour, _ in result(datetime(2010, 11, 7, 2, 0, tzinfo=UTC), 2, "America/St_Johns")] == [
        "2010-11-06T23:00:00-02:30",
        "2010-11-07T00:00:00-02:30",
        "2010-11-06T23:01:00-03:30",
        "2010-11-07T00:00:00-03:30",
    ]


def test_a_stretch_of_no_length_lies_in_the_hour_of_its_begin() -> None:
    begin = datetime(2026, 5, 4, 9, 20, tzinfo=UTC)

    assert list(clock_hours(begin, 0.0, UTC)) == [(begin.replace(minute=0), 1.0)]


moments = st.integers(0, 2_000_000).map(lambda minutes: datetime(2024, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes))
zones = st.sampled_from(["UTC", "America/New_York", "Europe/Madrid", "Asia/Kathmandu", "Australia/Lord_Howe"])


@given(moments, st.floats(0, 100_000), zones)
def test_shares_sum_to_one_and_hours_rise(begin: datetime, seconds: float, zone: str) -> None:
    cut = list(clock_hours(begin, seconds, ZoneInfo(zone)))

    assert math.fsum(share for _, share in cut) == pytest.approx(1.0)
    assert all(share > 0.0 for _, share in cut)
    hours = [hour for hour, _ in cut]
    assert hours == sorted(set(hours))
    assert hours[0] <= begin < hours[0] + timedelta(hours=1)


@given(moments, zones)
def test_any_moment_of_an_hour_names_the_same_hour(begin: datetime, zone: str) -> None:
    ((hour, _),) = clock_hours(begin, 0.0, ZoneInfo(zone))
    ((again, _),) = clock_hours(hour, 0.0, ZoneInfo(zone))

    assert again == hour
    assert begin.astimezone(ZoneInfo(zone)).hour == hour.hour


def test_a_begin_without_a_zone_and_negative_time_are_refused() -> None:
    with pytest.raises(BadQuantity, match="begin"):
        list(clock_hours(datetime(2026, 5, 4, 9, 0), 60.0, UTC))  # noqa: DTZ001 - the missing zone is the point
    with pytest.raises(BadQuantity, match="seconds"):
        list(clock_hours(datetime(2026, 5, 4, tzinfo=UTC), -1.0, UTC))
