"""How much of a stretch of time falls in each hour of the farm's clock?"""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone, tzinfo

from shared_models.errors import BadQuantity
from shared_models.trade.validation import not_negative

HOUR = timedelta(hours=1)


def clock_hours(begin: datetime, seconds: float, zone: tzinfo) -> Iterator[tuple[datetime, float]]:
    """Split a stretch of time at the full hours of the farm's clock.

    Each hour comes with the share of the stretch that lies in it; a stretch of no length lies wholly in the hour of
    its begin. An hour is named by its first moment with the offset from UTC then in force, so the two hours from
    01:00 of an autumn clock change are two hours, and a day has 23, 24 or 25 of them (half an hour more or less where
    the clock moves by half an hour). The clock change itself also ends an hour.

    Formula: share = seconds of the stretch inside the hour / all its seconds
    Units: begin is an aware moment; seconds of real time, not of the wall clock; shares are 0 to 1 and sum to 1.
    Source: IANA time zone database for the offsets; the cutting is plain arithmetic.
    Raises: BadQuantity: when begin has no time zone, or seconds is negative or not finite.
    """
    if begin.utcoffset() is None:
        raise BadQuantity("begin", begin, "a time with its zone")
    not_negative("seconds", seconds)
    start = begin.astimezone(UTC)
    end = start + timedelta(seconds=seconds)
    at = start
    while at < end or at == start:
        hour, following = _hour_around(at, zone)
        until = min(following, end)
        # Fixed offsets as keys: inside one zone Python takes the two 01:00 of an autumn night for equal.
        yield hour.astimezone(timezone(_offset(hour, zone))), (until - at) / (end - start) if end > start else 1.0
        at = following


def _hour_around(at: datetime, zone: tzinfo) -> tuple[datetime, datetime]:
    """First moment of the clock hour around `at`, and first moment of the next one, both in UTC."""
    local = at.astimezone(zone)
    hour = at - timedelta(minutes=local.minute, seconds=local.second, microseconds=local.microsecond)
    following = hour + HOUR
    if _offset(hour, zone) != _offset(at, zone):
        hour = _clock_change(hour, at, zone)
    if _offset(following - datetime.resolution, zone) != _offset(at, zone):
        following = _clock_change(at, following, zone)
    return hour, following


def _clock_change(before: datetime, after: datetime, zone: tzinfo) -> datetime:
    """First moment with the new offset, given one moment with the old offset and a later one with the new."""
    old = _offset(before, zone)
    while after - before > datetime.resolution:
        middle = before + (after - before) // 2
        if _offset(middle, zone) == old:
            before = middle
        else:
            after = middle
    return after


def _offset(at: datetime, zone: tzinfo) -> timedelta:
    return at.astimezone(zone).utcoffset() or timedelta()
