"""What is wrong with a log is named, line by line and record by record; nothing is changed by looking."""

from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import delete, insert, update

from shared_models.core.revision import digest, root
from shared_models.log.log import find
from shared_models.log.projection import rebuild
from shared_models.log.store import reading, sqlite_url, writing
from shared_models.log.verify import first_broken_line
from shared_models.records.tables import Bed, Flagged, Line, Log, RowPass, SetAside, table_of
from tests.shared_models.conftest import Opener
from tests.shared_models.log.device import (
    A_BED,
    BED,
    FARM,
    OFFICE,
    OTHER_FARM,
    PHONE,
    TABLET,
    Device,
    an_id,
    line,
    run_of,
)
from tests.shared_models.log.test_projection import DAMAGES, add, busy, change, remove

SYNC = ": sync a phone that has it"
LINES, HEADS = table_of(Line), table_of(Log)


def three_lines(device: Device) -> None:
    device.write("bed", BED, **A_BED)
    device.write("bed", BED, rows=4)
    device.write("bed", BED, rows=3)


def run(device: Device, *statements: Any) -> None:
    with writing(device.engine, FARM) as connection:
        for statement in statements:
            connection.execute(statement)


def broken_line(device: Device) -> int | None:
    with reading(device.engine) as connection:
        head = find(connection, PHONE)
        assert head is not None
        return first_broken_line(connection, head)


def test_of_a_sound_farm_nothing_is_said(device: Device) -> None:
    busy(device)

    assert device.complaints() == []
    assert broken_line(device) is None


def test_of_a_log_without_lines_nothing_is_said(device: Device) -> None:
    device.take(run_of(PHONE, "{"))

    assert device.complaints() == []
    assert broken_line(device) is None


def test_a_changed_text_is_named_even_where_it_still_is_a_line(device: Device) -> None:
    three_lines(device)
    text = device.texts()[1]

    run(device, update(LINES).where(LINES.c.seq == 2).values(text=text.replace("4", "5")))

    assert broken_line(device) == 2
    assert device.complaints() == [f"log of device {PHONE} is broken at line 2{SYNC}"]


RIGHT_TEXT = ": its text is right; the service puts the rest right"
MISFITS: list[tuple[dict[str, Any], str]] = [
    ({"text": "{"}, SYNC),
    ({"digest": b"7" * 32}, RIGHT_TEXT),
    ({"record": an_id(9)}, RIGHT_TEXT),
]


@pytest.mark.parametrize(("values", "what"), MISFITS, ids=str)
def test_a_line_that_does_not_fit_is_named(device: Device, values: dict[str, Any], what: str) -> None:
    three_lines(device)

    run(device, update(LINES).where(LINES.c.seq == 2).values(**values))

    assert f"log of device {PHONE} is broken at line 2{what}" in device.complaints()


def test_a_line_that_is_none_is_named_even_where_its_digest_is_right(device: Device) -> None:
    device.write("bed", BED, **A_BED)

    right = {"digest": digest(root(PHONE), "{")}
    run(device, update(LINES).values(text="{", **right), update(HEADS).values(right))

    assert broken_line(device) == 1


@pytest.mark.parametrize("seq", [1, 2, 3])
def test_a_missing_line_is_named(device: Device, seq: int) -> None:
    three_lines(device)

    run(device, delete(LINES).where(LINES.c.seq == seq))

    assert broken_line(device) == seq
    assert device.complaints()[0] == f"log of device {PHONE} is broken at line {seq}{SYNC}"


def test_a_line_beyond_the_end_is_named(device: Device) -> None:
    three_lines(device)

    run(device, update(HEADS).values(seq=2, digest=device.rows(Line)[1]["digest"]))

    assert broken_line(device) == 3


def test_an_end_that_is_not_the_last_line_s_is_named(device: Device) -> None:
    three_lines(device)

    run(device, update(HEADS).values(digest=b"7" * 32))

    assert broken_line(device) == 3


def test_a_log_of_no_lines_that_ends_somewhere_is_named(device: Device) -> None:
    device.take(run_of(PHONE, "{"))

    run(device, update(HEADS).values(digest=b"7" * 32))

    assert broken_line(device) == 1


SAID = {
    "a changed figure": (change(Bed, rows=6), f"bed {BED} differs from its log in rows; run rebuild"),
    "a missing row": (remove(RowPass), "is missing from table row_pass; run rebuild"),
    "a missing flag": (remove(Flagged), f"bed {an_id(9)} is missing from table flagged; run rebuild"),
    "an extra row": (add(Bed), "table bed holds 2 records where the logs have 1; run rebuild"),
    "an extra flag": (add(Flagged), "table flagged holds 2 records where the logs have 1; run rebuild"),
}


@pytest.mark.parametrize(("damage", "wording"), SAID.values(), ids=SAID)
def test_a_table_that_differs_from_the_logs_is_named(device: Device, damage: Any, wording: str) -> None:
    busy(device)

    damage(device)

    assert any(wording in complaint for complaint in device.complaints())
    assert Device(device.engine, OFFICE, OTHER_FARM).complaints() == []


@pytest.mark.parametrize("damage", DAMAGES.values(), ids=DAMAGES)
def test_looking_changes_nothing(device: Device, damage: Any) -> None:
    busy(device)
    damage(device)

    first = device.complaints()

    assert first == device.complaints() != []


def test_the_same_record_of_another_farm_is_no_difference(device: Device) -> None:
    """Nor does it stand in for one that is missing here."""
    busy(device)

    remove(Bed)(device)

    assert f"bed {BED} is missing from table bed; run rebuild" in device.complaints()


def test_text_that_is_no_text_any_more_is_named_and_stops_nobody(tmp_path: Path, opened: Opener) -> None:
    """A byte on the disk went bad: SQLite hands it out as it is."""
    device = Device(opened(sqlite_url(tmp_path / "log.db")))
    three_lines(device)
    with writing(device.engine, FARM) as connection:
        connection.exec_driver_sql("UPDATE line SET text = CAST(X'7bff' AS TEXT) WHERE seq = 3")

    assert broken_line(device) == 3
    device.write("bed", BED, name="Bed 2")
    with writing(device.engine, FARM) as connection:
        rebuild(connection, FARM)
    assert [(bed["name"], bed["rows"]) for bed in device.rows(Bed)] == [("Bed 2", 4)]


def test_a_line_set_aside_is_reported_to_its_own_farm_only(device: Device) -> None:
    aside = {"farm_id": FARM, "device": TABLET, "seq": 7, "text": "{", "reason": "it is not a log line"}
    run(device, insert(table_of(SetAside)).values(aside))

    result = device.complaints()

    assert result == [f"line 7 of device {TABLET} was set aside: it is not a log line"]
    assert Device(device.engine, OFFICE, OTHER_FARM).complaints() == []


def test_every_log_is_looked_at(device: Device) -> None:
    device.take(run_of(TABLET, line(1)), run_of(OFFICE, line(1), line(2)))

    run(device, update(LINES).values(digest=b"7" * 32))

    assert [complaint for complaint in device.complaints() if "broken" in complaint] == [
        f"log of device {TABLET} is broken at line 1{RIGHT_TEXT}",
        f"log of device {OFFICE} is broken at line 1{SYNC}",
        f"log of device {OFFICE} is broken at line 2{SYNC}",
    ]
