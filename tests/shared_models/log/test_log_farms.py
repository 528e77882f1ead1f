"""Logs that are not for everybody: the private ones, and those of other farms in the same store."""

import pytest

from shared_models.core.revision import root
from shared_models.errors import OtherFarm
from shared_models.log import log
from shared_models.log.append import append
from shared_models.log.projection import RecordKey
from shared_models.log.store import reading, writing
from shared_models.records.tables import Bed, Line, Person, SetAside, table_of
from tests.shared_models.log.device import (
    A_BED,
    ANA,
    BED,
    FARM,
    OFFICE,
    OTHER_FARM,
    PHONE,
    TABLET,
    Device,
    an_id,
    line,
    public_key,
    run_of,
    sign_last_line,
)


def private_log(device: Device, private: str = OFFICE) -> None:
    with writing(device.engine, FARM) as connection:
        log.get_or_create(connection, FARM, private, private=True)
        log.get_or_create(connection, FARM, PHONE, key=public_key(PHONE))
        append(connection, FARM, PHONE, 1, RecordKey("person", ANA), {"name": "Ana"}, None)
        sign_last_line(connection, PHONE)
        append(connection, FARM, private, 2, RecordKey("person", ANA), {"wage_per_hour": 22.5}, None)


def test_a_private_log_is_never_handed_out(device: Device) -> None:
    private_log(device)

    with reading(device.engine) as connection:
        parted = log.diverged(connection, FARM, {OFFICE: (1, "0" * 64)})

    assert parted == []
    assert device.holds().keys() == {PHONE}
    assert [run.device for run in device.lacking({})] == [PHONE]
    assert [run.device for run in device.lacking({OFFICE: (0, root(OFFICE).hex())})] == [PHONE]


def test_a_private_log_counts_at_home(device: Device) -> None:
    private_log(device)

    assert device.rows(Person)[0]["wage_per_hour"] == 22.5
    assert device.complaints() == []


def test_nobody_writes_into_a_private_log_from_elsewhere(device: Device) -> None:
    private_log(device)
    texts = [row["text"] for row in device.rows(Line)]

    outcome = device.take(run_of(OFFICE, line(1), line(2)))

    assert [refusal.reason for refusal in outcome.refused] == ["this log is kept in the office only"]
    assert [row["text"] for row in device.rows(Line)] == texts


def test_a_log_of_another_farm_is_refused_and_nothing_of_the_page_is_stored(device: Device) -> None:
    device.take(run_of(TABLET, line()))
    theirs = Device(device.engine, OFFICE, OTHER_FARM)

    with pytest.raises(OtherFarm):
        theirs.take(run_of(OFFICE, line()), run_of(TABLET, line(1), line(2)))

    assert theirs.holds() == {}
    assert len(device.texts()) == 1


def test_nobody_appends_to_a_log_of_another_farm(device: Device) -> None:
    device.write("bed", BED, **A_BED)

    with pytest.raises(OtherFarm):
        Device(device.engine, PHONE, OTHER_FARM).write("bed", BED, **A_BED)

    assert len(device.texts()) == 1


def test_farms_in_one_store_never_meet(device: Device) -> None:
    """Even with the same id of a record, which nobody would make by chance."""
    theirs = Device(device.engine, TABLET, OTHER_FARM)
    device.write("bed", BED, **A_BED)

    theirs.write("bed", BED, **A_BED | {"name": "Theirs"})
    theirs.take(run_of(OFFICE, line(record=an_id(9), set={"rows": 0})))

    assert [(bed["farm_id"], bed["name"]) for bed in device.rows(Bed)] == [(FARM, "Bed 1"), (OTHER_FARM, "Theirs")]
    assert device.holds().keys() == {PHONE}
    assert theirs.holds().keys() == {TABLET, OFFICE}
    assert device.complaints() == theirs.complaints() == []


def test_a_clock_of_one_farm_is_no_clock_of_another(device: Device) -> None:
    device.write("bed", BED, now_ms=4_070_908_800_000, **A_BED)

    stamp = Device(device.engine, TABLET, OTHER_FARM).write("bed", BED, now_ms=1, **A_BED).stamp

    assert stamp == 1 << 16


def test_what_a_phone_logged_before_it_was_paired_goes_with_it(device: Device) -> None:
    device.write("bed", BED, **A_BED)
    device.take(run_of(TABLET, line(record=an_id(9), set={"rows": 0}), "{", at_each=True))
    with writing(device.engine, FARM) as connection:
        result = {"farm_id": FARM, "device": PHONE, "seq": 9, "text": "{", "reason": "it is not a log line"}
        connection.execute(table_of(SetAside).insert(), result)

    with writing(device.engine, FARM) as connection:
        log.change_farm(connection, FARM, OTHER_FARM)

    moved = Device(device.engine, PHONE, OTHER_FARM)
    assert device.holds() == {}
    assert device.complaints() == []
    assert moved.holds().keys() == {PHONE, TABLET}
    assert [bed["farm_id"] for bed in moved.rows(Bed)] == [OTHER_FARM]
    assert moved.complaints() == [f"line 9 of device {PHONE} was set aside: it is not a log line"]
    assert moved.write("bed", BED, rows=4).seq == 2
