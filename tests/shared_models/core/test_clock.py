from collections import defaultdict

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from shared_models.core.clock import CEILING, COUNTER_BITS, LATEST, farthest, from_text, observe, tick, to_text

stamps = st.integers(0, LATEST)
believed = st.integers(0, CEILING)
CLOCKS_MS = {"1970": 0, "2026": 1_777_900_000_000, "2099": 4_070_908_800_000, "negative": -(10**15), "huge": 10**30}
wall_clocks = st.sampled_from([*CLOCKS_MS.values(), CLOCKS_MS["2026"] + 1])


@given(last=believed, now_ms=st.integers())
def test_the_next_stamp_is_after_the_last_whatever_the_wall_clock_says(last: int, now_ms: int) -> None:
    assert last < tick(last, now_ms) <= LATEST


@pytest.mark.parametrize("now_ms", CLOCKS_MS.values(), ids=CLOCKS_MS)
def test_no_wall_clock_makes_an_edit_fail(now_ms: int) -> None:
    first = tick(0, now_ms)

    second = tick(first, now_ms)

    assert from_text(to_text(first)) < from_text(to_text(second))


def test_a_stamp_runs_at_least_as_fast_as_the_wall_clock() -> None:
    now_ms = CLOCKS_MS["2026"]

    assert tick(0, now_ms) == now_ms << COUNTER_BITS
    assert tick(now_ms << COUNTER_BITS, now_ms + 1) == (now_ms + 1) << COUNTER_BITS


def test_a_wall_clock_set_back_does_not_set_the_stamps_back() -> None:
    in_2099 = tick(0, CLOCKS_MS["2099"])

    assert tick(in_2099, CLOCKS_MS["1970"]) == in_2099 + 1


@given(last=believed, seen=believed)
def test_after_a_stamp_was_seen_the_next_one_is_past_it(last: int, seen: int) -> None:
    assert tick(observe(last, seen), 0) > max(last, seen)


def test_the_ceiling_itself_is_believed_and_what_lies_above_is_counted() -> None:
    assert [observe(0, CEILING), observe(0, CEILING + 9), observe(CEILING, LATEST)] == [
        CEILING,
        CEILING + 1,
        CEILING + 1,
    ]


@given(st.lists(stamps, min_size=1))
def test_the_farthest_of_several_clocks_is_past_each(clocks: list[int]) -> None:
    assert farthest(clocks) >= max(clocks)


def test_a_farm_without_a_log_begins_at_nought() -> None:
    assert farthest([]) == 0


class Farm:
    """Some devices that each hold the first lines of each other's logs, by their stamps alone."""

    def __init__(self) -> None:
        self.logs: dict[int, list[int]] = defaultdict(list)
        self.held: dict[int, dict[int, int]] = defaultdict(lambda: defaultdict(int))

    def clock(self, device: int) -> int:
        clocks = []
        for log, count in self.held[device].items():
            last = 0
            for stamp in self.logs[log][:count]:
                last = observe(last, stamp)
            clocks.append(last)
        return farthest(clocks)

    def seen(self, device: int) -> list[int]:
        return [stamp for log, count in self.held[device].items() for stamp in self.logs[log][:count]]

    def add(self, device: int, stamp: int) -> None:
        self.logs[device].append(stamp)
        self.held[device][device] += 1


edits = st.tuples(st.just("edit"), st.integers(0, 2), wall_clocks)
reads = st.tuples(st.just("read"), st.integers(0, 2), st.integers(0, 2))
hostile = st.tuples(st.just("hostile"), st.integers(0, 2), st.sampled_from([LATEST, LATEST - 1, CEILING, CEILING + 1]))


@given(st.lists(edits | reads | hostile, max_size=30))
@example([("hostile", 0, LATEST), ("edit", 0, 0), ("edit", 0, 0), ("read", 1, 0), ("edit", 1, 0)])
@example([("hostile", 0, LATEST), ("read", 1, 0), ("edit", 1, 0), ("read", 2, 1), ("edit", 2, 0), ("edit", 2, 0)])
def test_hostile_stamps_neither_stop_the_clock_nor_bring_it_near_its_end(events: list[tuple[str, int, int]]) -> None:
    """An honest edit is ordered after every honest edit read before it, and after any stamp that a clock could show."""
    farm = Farm()
    forged: set[int] = set()

    for what, device, value in events:
        if what == "hostile":
            farm.add(device, value)
            forged |= {value} if value > CEILING else set()
        elif what == "read":
            for log, count in farm.held[value].items():
                farm.held[device][log] = max(farm.held[device][log], count)
        else:
            before = farm.seen(device)
            stamp = tick(farm.clock(device), value)
            farm.add(device, stamp)

            assert all(stamp > seen for seen in before if seen not in forged)
            assert stamp <= CEILING + len(events)


@given(st.lists(stamps))
def test_the_text_of_stamps_sorts_as_the_stamps_do(some: list[int]) -> None:
    assert [from_text(text) for text in sorted(map(to_text, some))] == sorted(some)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "1",
        "00000000000000001",
        "000000000000000A",
        "0x00000000000001",
        "00000000_0000001",
        " 00000000000001 ",
        "+000000000000001",
        "-000000000000001",
        "00000000000000٣١",
        "000000000000000g",
        f"{LATEST + 1:016x}",
        "f" * 16,
    ],
)
def test_what_is_no_stamp_is_refused(text: str) -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - any ValueError will do, as the docstring says
        from_text(text)


def test_the_last_stamp_there_is_can_be_read() -> None:
    assert from_text(to_text(LATEST)) == LATEST
