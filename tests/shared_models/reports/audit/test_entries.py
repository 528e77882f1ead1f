"""What was logged: the newest first, a page at a time; what is flagged; one record as it stands."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import insert
from sqlmodel import Session

from shared_models.errors import UnknownRecord
from shared_models.log.projection import RecordKey
from shared_models.log.store import reading, writing
from shared_models.records.tables import RowPass, table_of
from shared_models.reports.audit.entries import KINDS, Entry, entry_of, flagged, names_in, newest
from tests.shared_models.reports.support.farmbook import FarmBook, HandDay


@contextmanager
def asking(book: FarmBook) -> Iterator[Session]:
    with reading(book.engine) as connection, Session(connection) as session:
        yield session


def one(book: FarmBook, kind: str, record: str) -> Entry:
    with asking(book) as session:
        return entry_of(session, book.id, RecordKey(kind, record))


def test_every_entry_comes_once_the_newest_first_page_by_page(hand_day: HandDay) -> None:
    book, seen, before = hand_day.book, list[RecordKey](), ""
    hand_day.book.change("row_pass", hand_day.first, voided=True)
    with asking(book) as session:
        while True:
            page, more = newest(session, book.id, 3, before)
            seen += [entry.key for entry in page]
            if not more:
                break
            before = page[-1].key.id
        every, _ = newest(session, book.id, 1000)

    assert [key.id for key in seen] == sorted((key.id for key in seen), reverse=True)
    assert seen == [entry.key for entry in every]
    assert len(seen) > 6
    assert RecordKey("row_pass", hand_day.first) in seen  # deleted ones can be brought back
    assert {key.kind for key in seen} <= set(KINDS)


def test_one_kind_can_be_asked_for(hand_day: HandDay) -> None:
    with asking(hand_day.book) as session:
        page, _ = newest(session, hand_day.book.id, 100, kinds=("person",))

    assert {entry.key.kind for entry in page} == {"person"}


def test_a_page_costs_the_same_however_much_was_logged(hand_day: HandDay) -> None:
    """Counted in steps of SQLite's own machine, so that no clock has a say."""
    many_rows(hand_day.book, 40)
    few = steps(hand_day.book)
    many_rows(hand_day.book, 4000)

    assert steps(hand_day.book) < few * 1.2


def steps(book: FarmBook) -> int:
    taken = 0

    def count() -> None:
        nonlocal taken
        taken += 1

    with asking(book) as session:
        sqlite: Any = session.connection().connection.dbapi_connection
        sqlite.set_progress_handler(count, 10)
        newest(session, book.id, 20)
        sqlite.set_progress_handler(None, 0)
    return taken


def many_rows(book: FarmBook, count: int) -> None:
    row = {"farm_id": book.id, "planting": book.new_id(), "row": 1, "length_mm": 1, "started_at": book.at("8:00"),
           "crew": [], "stops": [], "misses": 0, "doubles": 0, "filled": 0, "note": "", "voided": False}  # fmt: skip
    with writing(book.engine, book.id) as connection:
        connection.execute(insert(table_of(RowPass)), [{**row, "id": book.new_id()} for _ in range(count)])


def test_what_is_flagged_is_reported_with_its_reason_until_it_is_deleted(hand_day: HandDay) -> None:
    book = hand_day.book
    wrong = book.flag("bed", name="East", length_mm=-3, rows=4)
    gone = book.flag("bed", name="West", length_mm=-3, rows=4)
    book.change("bed", gone, voided=True)

    with asking(book) as session:
        (found,) = flagged(session, book.id, 10)

    assert (found.key.id, found.fields["name"]) == (wrong, "East")
    assert list(found.problems) == ["length_mm"]


def test_a_record_is_reported_as_it_stands_good_flagged_or_deleted(hand_day: HandDay) -> None:
    book = hand_day.book
    wrong = book.flag("bed", name="East", length_mm=-3, rows=4)
    book.change("row_pass", hand_day.second, voided=True)

    assert one(book, "row_pass", hand_day.second).voided
    assert one(book, "bed", wrong).problems
    assert one(book, "row_pass", hand_day.first).fields["doubles"] == 0  # nobody ever told
    with pytest.raises(UnknownRecord):
        one(book, "bed", hand_day.first)


def test_a_row_is_reported_on_the_clock_that_its_boot_agrees_on(book: FarmBook) -> None:
    """The clock stood nine hours back while one of three rows was planted."""
    planting = book.new_id()
    rows = []
    for row, wrong_h in ((1, 0), (2, 9), (3, 0)):
        at, boot_ms = book.at("8:00") + timedelta(minutes=10 * row), 600_000 * row
        result = {
            "started_at": (at - timedelta(hours=wrong_h)).isoformat(),
            "started_boot": "b",
            "started_boot_ms": boot_ms,
        }
        rows.append(book.add("row_pass", planting=planting, row=row, length_mm=30_000, **result))

    assert one(book, "row_pass", rows[1]).corrected("started") == book.at("8:20")
    with asking(book) as session:
        page, _ = newest(session, book.id, 1, rows[2])
    assert page[0].corrected("started") == book.at("8:20")


def test_ids_are_looked_up_wherever_they_stand(hand_day: HandDay) -> None:
    """Also within a crew; and of a planting its bed and its sowing."""
    with asking(hand_day.book) as session:
        names = names_in(session, hand_day.book.id, [hand_day.onions, [hand_day.ana], "not an id", 7, None])

    assert list(names.people) == [hand_day.ana]
    assert list(names.plantings) == [hand_day.onions]
    assert list(names.beds) == [hand_day.north]
    assert len(names.sowings) == 1
