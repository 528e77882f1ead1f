"""A damaged line comes back from whoever has it: the service's from any phone, a phone's from the service."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine, delete, func, select, update

from shared_models.core import p256
from shared_models.core.revision import digest
from shared_models.log import log
from shared_models.log.damage import START, check_logs, damaged
from shared_models.log.ingest import ingest
from shared_models.log.projection import rebuild
from shared_models.log.store import reading, writing
from shared_models.records.tables import Line, Log, table_of
from tests.journeys.support.farm_service import FarmService, FieldPhone
from tests.shared_models.log.device import signed

LINE, LOG = table_of(Line), table_of(Log)
Harm = Callable[[Engine, str, int], None]
LINES = 12


@pytest.fixture
def service(tmp_path: Path) -> Iterator[FarmService]:
    made = FarmService(tmp_path / "service")
    yield made
    made.engine.dispose()


@pytest.fixture
def phone(service: FarmService, tmp_path: Path) -> Iterator[FieldPhone]:
    """Ana's phone, with a log of twelve lines that is synced in three parts."""
    made = FieldPhone.paired(service, tmp_path / "ana", seed=1)
    for _ in range(3):
        made.add_beds(LINES // 3)
        made.sync_client.sync()
    yield made
    made.phone.kill()


def _line(engine: Engine, device: str, seq: int) -> Any:
    with reading(engine) as connection:
        log_id = connection.execute(select(LOG.c.id).where(LOG.c.device == device)).scalar_one()
    return (LINE.c.log_id == log_id) & (LINE.c.seq == seq)


def change(engine: Engine, device: str, seq: int, **values: Any) -> None:
    this = _line(engine, device, seq)
    with writing(engine, "") as connection:
        connection.execute(update(LINE).where(this).values(**values))


def one_letter(engine: Engine, device: str, seq: int) -> None:
    change(engine, device, seq, text=func.replace(LINE.c.text, "Bed", "Bad"))


def no_text(engine: Engine, device: str, seq: int) -> None:
    change(engine, device, seq, text="{")


def all_of_it(engine: Engine, device: str, seq: int) -> None:
    change(engine, device, seq, text="{", digest=b"7" * 32, record="nobody")


def gone(engine: Engine, device: str, seq: int) -> None:
    this = _line(engine, device, seq)
    with writing(engine, "") as connection:
        connection.execute(delete(LINE).where(this))


def two_together(engine: Engine, device: str, seq: int) -> None:
    one_letter(engine, device, seq)
    all_of_it(engine, device, seq + 1 if seq < LINES else seq - 1)


HARMS: list[Harm] = [one_letter, no_text, all_of_it, gone, two_together]


def check(engine: Engine, farm: str, most: int = 3) -> None:
    """Check all logs, a few lines at a time."""
    at = check_logs(engine, farm, START, most)
    while at != START:
        at = check_logs(engine, farm, at, most)


def known(engine: Engine, farm: str) -> list[int]:
    with reading(engine) as connection:
        return [line.seq for line in damaged(connection, farm)]


@pytest.mark.parametrize("harm", HARMS)
@pytest.mark.parametrize("seq", [1, 5, LINES])
def test_a_line_damaged_at_the_service_comes_back_from_a_phone(
    service: FarmService, phone: FieldPhone, harm: Harm, seq: int
) -> None:
    """At the next sync, though nothing else is to be synced."""
    records = service.records()
    harm(service.engine, phone.phone.notebook.device, seq)

    check(service.engine, service.farm)
    found = known(service.engine, service.farm)
    progress = phone.sync_client.sync()

    assert seq in found
    assert progress.damaged_there == 0
    assert known(service.engine, service.farm) == []
    assert service.faults() == phone.faults() == []
    assert service.records() == records == phone.records()


@pytest.mark.parametrize("harm", HARMS)
@pytest.mark.parametrize("seq", [1, 5, LINES])
def test_a_line_damaged_on_a_phone_comes_back_from_the_service(
    service: FarmService, phone: FieldPhone, harm: Harm, seq: int
) -> None:
    """Its own lines too; they keep their log and their number."""
    device, records = phone.phone.notebook.device, service.records()
    harm(phone.phone.notebook.engine, device, seq)

    progress = phone.sync_client.sync()

    assert progress.damaged_here == 0
    assert (phone.phone.notebook.device, phone.faults()) == (device, [])
    assert phone.records() == records == service.records()
    assert len(log_ids(service)) == 2, "no log was branched"


def log_ids(service: FarmService) -> list[str]:
    with reading(service.engine) as connection:
        return list(log.holds(connection, service.farm))


def test_a_log_that_ends_early_says_so_until_a_phone_that_has_it_syncs(
    service: FarmService, phone: FieldPhone, tmp_path: Path
) -> None:
    """A new phone gets what comes before the damage, and learns how much is damaged, before any check ran."""
    one_letter(service.engine, phone.phone.notebook.device, 6)

    new = FieldPhone.paired(service, tmp_path / "new", seed=2)
    short = new.sync_client.sync()
    beds = len(new.records()["bed"])
    phone.sync_client.sync()
    whole = new.sync_client.sync()

    assert (beds, short.to_receive, short.damaged_there) == (4, 8, 1)
    assert (len(new.records()["bed"]), whole.to_receive, whole.damaged_there) == (12, 0, 0)
    new.phone.kill()


def test_any_phone_that_holds_the_line_brings_it(service: FarmService, phone: FieldPhone, tmp_path: Path) -> None:
    """It need not be the one that wrote it."""
    other = FieldPhone.paired(service, tmp_path / "other", seed=2)
    one_letter(service.engine, phone.phone.notebook.device, 6)
    check(service.engine, service.farm)

    other.sync_client.sync()

    assert service.faults() == []
    other.phone.kill()


def test_rebuild_never_takes_damaged_text_for_true(service: FarmService, phone: FieldPhone) -> None:
    """Not even text that still is a line. Once the line is back, so is the record."""
    one_letter(service.engine, phone.phone.notebook.device, 6)

    with writing(service.engine, service.farm) as connection:
        rebuild(connection, service.farm)
    names = [bed for bed in service.records()["bed"] if any("Bad" in str(value) for value in bed)]
    lacking = len(service.records()["bed"])
    check(service.engine, service.farm)
    phone.sync_client.sync()

    assert (names, lacking) == ([], 11)
    assert service.records() == phone.records()
    assert service.faults() == []


@pytest.mark.parametrize("values", [{"digest": b"7" * 32}, {"record": "nobody"}], ids=str)
def test_what_follows_from_the_text_is_put_right_without_anybody(
    service: FarmService, phone: FieldPhone, values: dict[str, Any]
) -> None:
    """A digest, or the record a line is found by."""
    change(service.engine, phone.phone.notebook.device, 6, **values)

    check(service.engine, service.farm)

    assert known(service.engine, service.farm) == []
    assert service.faults() == []


def test_another_text_never_takes_the_place_of_a_damaged_line(service: FarmService, phone: FieldPhone) -> None:
    """Not even one that the same device signed: it is another history, and refused as such."""
    device, engine = phone.phone.notebook.device, phone.phone.notebook.engine
    one_letter(service.engine, device, 6)
    check(service.engine, service.farm)
    with reading(engine) as connection:
        head = log.find(connection, device)
        assert head is not None
        run = log.run_from(connection, head, 4, 1)
    assert run is not None
    texts = tuple(text.replace("Bed", "Bud") for text in run.texts)
    with reading(engine) as connection:
        last = log.digest_at(connection, head, 4)
    assert last is not None
    for text in texts:
        last = digest(last, text)
    forged = replace(run, texts=texts, digest=last.hex())

    codes = []
    for each, verify in ((forged, p256.verify), (signed(forged), lambda *_: True)):
        with writing(service.engine, service.farm) as connection:
            codes += [refusal.code for refusal in ingest(connection, service.farm, [each], verify).refused]

    assert codes == ["not-signed", "fork"]
    assert known(service.engine, service.farm) == [6]
