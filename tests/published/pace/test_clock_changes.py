"""Hours of days on which the clock changes."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from shared_models.trade.pace.hours import clock_hours
from shared_models.trade.pace.pace import TimedRow, by_hour
from tests.published.conftest import Check

CALENDAR = {
    "America/New_York": "Energy Policy Act of 2005: second Sunday of March to first of November (from memory)",
    "Europe/Berlin": "Directive 2000/84/EC: last Sunday of March to last of October (from memory)",
    "America/Phoenix": "Arizona keeps standard time all year (from memory)",
}
ARITHMETIC = "plain arithmetic on a row of three hours across the autumn change"


@pytest.mark.parametrize(
    ("zone", "month", "day", "hours"),
    [
        ("America/New_York", 3, 7, 24),
        ("America/New_York", 3, 8, 23),
        ("America/New_York", 11, 1, 25),
        ("Europe/Berlin", 3, 29, 23),
        ("Europe/Berlin", 10, 25, 25),
        ("America/Phoenix", 3, 8, 24),
        ("America/Phoenix", 11, 1, 24),
    ],
)
def test_a_day_has_23_24_or_25_hours(published: Check, zone: str, month: int, day: int, hours: int) -> None:
    midnight = datetime(2026, month, day, tzinfo=ZoneInfo(zone))
    next_midnight = midnight + timedelta(days=1)
    seconds = (next_midnight.astimezone(UTC) - midnight.astimezone(UTC)).total_seconds()

    got = list(clock_hours(midnight, seconds, ZoneInfo(zone)))

    published(CALENDAR[zone], f"2026-{month:02}-{day:02} in {zone}: hours", len(got), hours, 0)


def test_a_row_across_the_autumn_change_is_shared_by_real_time(published: Check) -> None:
    """From 00:30 by summer time to 02:30 by standard time: three hours, of which two are called one o'clock."""
    zone = ZoneInfo("America/New_York")
    row = TimedRow(datetime(2026, 11, 1, 0, 30, tzinfo=zone), 3 * 3600, 0, 300_000, 50.8, crew=1)

    got = [part.length_mm for part in by_hour([row], zone).values()]

    for i, (length_mm, expected_mm) in enumerate(zip(got, (50_000, 100_000, 100_000, 50_000), strict=True)):
        published(ARITHMETIC, f"mm in hour {i + 1} of 4", length_mm, expected_mm, 1e-6)
