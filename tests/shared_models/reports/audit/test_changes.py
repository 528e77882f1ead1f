"""Lines of many logs, the newest first: in one order, a page at a time, and from any position on."""

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Connection, Engine, update

from shared_models.core.revision import Revision, text_of
from shared_models.log import log
from shared_models.log.store import open_store, reading, writing
from shared_models.records.tables import Line, table_of
from shared_models.reports.audit.changes import MOST_READ, ChangeFilter, ChangePage, Position, newest_changes

FARM = "00000000-0000-7000-8000-00000000000f"
PHONES = [f"00000000-0000-7000-8000-00000000000{n}" for n in (1, 2, 3)]
BED = "00000000-0000-7000-8000-0000000000be"


def written(engine: Engine, phone: str, stamps: Sequence[int], kind: str = "bed", by: str | None = None) -> None:
    with writing(engine, FARM) as connection:
        head = log.get_or_create(connection, FARM, phone)
        for stamp in stamps:
            line = Revision(phone, head.seq + 1, stamp, kind, BED, {"name": f"{phone} {stamp}"}, by)
            head = log.write_line(connection, head, line, text_of(line))


def every_page(engine: Engine, wanted: ChangeFilter, limit: int) -> list[Revision]:
    found: list[Revision] = []
    before: Position | None = None
    with reading(engine) as connection:
        while True:
            page = query(connection, wanted, limit, before)
            found += page.lines
            if page.older is None:
                return found
            assert Position.read(str(page.older)) == page.older
            before = page.older


def query(connection: Connection, wanted: ChangeFilter, limit: int, before: Position | None = None) -> ChangePage:
    return newest_changes(connection, log.heads(connection, FARM), wanted, limit, before)


@given(
    st.lists(st.lists(st.integers(1, 40), max_size=30, unique=True), min_size=1, max_size=3),
    st.integers(1, 7),
)
def test_pages_together_are_every_line_once_and_in_order(stamps: list[list[int]], limit: int) -> None:
    engine = open_store("sqlite://")
    for phone, own in zip(PHONES, stamps, strict=False):
        written(engine, phone, sorted(own))

    found = every_page(engine, ChangeFilter(), limit)

    orders = [line.order for line in found]
    assert orders == sorted(orders, reverse=True)
    assert len(orders) == sum(map(len, stamps))
    engine.dispose()


def test_only_what_is_wanted_comes_and_the_last_page_says_so() -> None:
    engine = open_store("sqlite://")
    written(engine, PHONES[0], range(1, 300), kind="weather", by=PHONES[2])
    written(engine, PHONES[1], [500], kind="bed")

    weather = every_page(engine, ChangeFilter(kind="weather"), 50)
    nobody = every_page(engine, ChangeFilter(by=""), 50)

    assert len(weather) == 299
    assert [line.stamp for line in nobody] == [500]
    engine.dispose()


def test_what_is_rare_is_searched_in_steps() -> None:
    """One page reads so many lines and no more; the next goes on where it stopped."""
    engine = open_store("sqlite://")
    written(engine, PHONES[0], [1], kind="bed")
    written(engine, PHONES[0], range(2, MOST_READ + 100), kind="weather")

    with reading(engine) as connection:
        first = query(connection, ChangeFilter(kind="bed"), 50)
        second = query(connection, ChangeFilter(kind="bed"), 50, first.older)

    assert (first.lines, first.looked_at) == ((), MOST_READ)
    assert [line.stamp for line in second.lines] == [1]
    assert second.older is None
    engine.dispose()


def test_a_line_that_is_damaged_on_disk_is_left_out() -> None:
    engine = open_store("sqlite://")
    written(engine, PHONES[0], range(1, 60))
    line = table_of(Line)
    with engine.begin() as connection:
        connection.execute(update(line).where(line.c.seq.in_([20, 30])).values(text="{"))

    found = every_page(engine, ChangeFilter(), 7)

    assert [each.seq for each in reversed(found)] == [n for n in range(1, 60) if n not in (20, 30)]
    engine.dispose()


@pytest.mark.parametrize("text", ["", "x", "0000000000000001.0." + BED, "0000000000000001.1.x", "zz.1." + BED])
def test_what_is_no_position_is_none(text: str) -> None:
    assert Position.read(text) is None


def test_a_line_that_stands_in_two_logs_comes_once_whatever_the_page() -> None:
    """The log of the lowest device id is named; asked for by itself, the other one has it too."""
    engine = open_store("sqlite://")
    for phone in PHONES:
        with writing(engine, FARM) as connection:
            head = log.get_or_create(connection, FARM, phone)
            for stamp in range(1, 8):
                line = Revision(phone, head.seq + 1, stamp, "bed", BED, {"name": f"{stamp}"}, None)
                head = log.write_line(connection, head, line, text_of(line))
    with reading(engine) as connection:
        of_last = [head for head in log.heads(connection, FARM) if head.device == PHONES[2]]
        (newest, *_) = newest_changes(connection, of_last, ChangeFilter(), 50).lines

    for limit in range(1, 9):
        assert [line.order for line in every_page(engine, ChangeFilter(), limit)] == [
            (stamp, PHONES[0], stamp) for stamp in range(7, 0, -1)
        ]
    assert newest.order == (7, PHONES[2], 7)
    engine.dispose()
