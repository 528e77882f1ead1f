"""The hybrid logical clock that orders edits.

A stamp is one integer: 48 bits of milliseconds since 1970 and 16 bits of counter. It runs at least as fast as the wall
clock, never backwards, and past every stamp it has seen; so an edit made after reading another one is ordered after
it, whatever the wall clocks say. A stamp is never shown as a time, and making one never fails.

No honest wall clock comes near LATEST, and a line that claims it must not end the clock: above CEILING, which no wall
clock reaches, the clock counts the lines it has seen there instead of believing them. Who counts more lines has seen
more, so an edit is still ordered after what was read before it, and LATEST stays out of reach.

Source: Kulkarni, Demirbas et al., "Logical Physical Clocks", OPODIS 2014.
"""

from collections.abc import Iterable

COUNTER_BITS = 16
#: 2200-01-01. A stamp above this is no clock gone wrong but a broken program; its line is refused.
LATEST = 7_258_118_400_000 << COUNTER_BITS
#: A year below LATEST. No wall clock brings a stamp above it.
CEILING = LATEST - (366 * 86_400_000 << COUNTER_BITS)
#: a day: a clock that is farther ahead than this was set wrong
LEAD_MS = 86_400_000
#: a second's worth of stamps past what is held
HELD_LEAD = 1000 << COUNTER_BITS


def tick(last: int, now_ms: int) -> int:
    """Make the next stamp: after `last` and not before the wall clock (milliseconds since 1970, any value)."""
    return max(last + 1, min(max(now_ms, 0) << COUNTER_BITS, CEILING))


def observe(last: int, seen: int) -> int:
    """Advance the clock of one log past its next line, stamped `seen`."""
    return max(last, seen) if seen <= CEILING else max(last, CEILING) + 1


def farthest(clocks: Iterable[int]) -> int:
    """Combine the clocks of several logs into one past them all; 0 when there are none."""
    below, above = 0, 0
    for each in clocks:
        below = max(below, min(each, CEILING))
        above += max(0, each - CEILING)
    return below + above


def limit(now_ms: int, held: int) -> int:
    """The latest stamp that can be honest, at this time and with `held` as the farm's clock; LEAD_MS ahead of both.

    What is held already may be later than now, where a clock was wrong: then a little more counts as honest, so that
    those who read it can go on.
    """
    return max((max(now_ms, 0) + LEAD_MS) << COUNTER_BITS, held + HELD_LEAD)


def latest_wall_ms(stamp: int) -> int:
    """The latest time the writer's wall clock can have read, in milliseconds since 1970."""
    return stamp >> COUNTER_BITS


def is_wall_time(stamp: int) -> bool:
    """Whether the writer's wall clock read exactly this time (the counter is 0)."""
    return stamp % (1 << COUNTER_BITS) == 0


def to_text(stamp: int) -> str:
    """Write a stamp as sixteen hexadecimal digits, which sort as stamps do."""
    return f"{stamp:016x}"


def from_text(text: str) -> int:
    """Read a stamp; ValueError when the text is not one."""
    stamp = int(text, 16)
    if to_text(stamp) != text or not 0 <= stamp <= LATEST:
        raise ValueError(text)
    return stamp
