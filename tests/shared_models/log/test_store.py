"""The database under a log: what it promises about power, disks and several writers at once."""

import sqlite3
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import AbstractContextManager, closing
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import URL, Connection, Engine, func, select
from sqlalchemy.engine import make_url
from sqlalchemy.exc import IntegrityError, ProgrammingError

from shared_models.errors import BadEntry, StorageError
from shared_models.log.store import open_store, reading, sqlite_url, writing
from shared_models.records.tables import DERIVED, Bed, Line, Log, Meta, table_of
from tests.shared_models.conftest import Opener
from tests.shared_models.log.device import (
    A_BED,
    BED,
    FARM,
    OTHER_FARM,
    PHONE,
    TABLET,
    Device,
    DeviceMaker,
    an_id,
    line,
    new_device,
    run_of,
)

WAIT_S = 20
Begin = Callable[[Engine], AbstractContextManager[Connection]]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "log.db"


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest, path: Path) -> URL:
    """A new database of each kind."""
    return sqlite_url(path) if request.param == "sqlite" else make_url(request.getfixturevalue("postgres_url"))


def count_lines(engine: Engine) -> int:
    with reading(engine) as connection:
        return connection.execute(select(func.count()).select_from(table_of(Line))).scalar_one()


# ---------------------------------------------------------------------- what is promised about power


@pytest.mark.parametrize("begin", [reading, lambda engine: writing(engine, FARM)])
@pytest.mark.parametrize(("pragma", "value"), [("journal_mode", "wal"), ("synchronous", 2), ("foreign_keys", 1)])
def test_nothing_committed_is_lost_at_power_off_on_any_connection(
    path: Path, opened: Opener, begin: Begin, pragma: str, value: object
) -> None:
    """SQLite writes ahead, waits for the disk (FULL is 2) and keeps lines and logs together."""
    engine = opened(sqlite_url(path))

    with reading(engine), begin(engine) as connection:  # two connections at once
        assert connection.exec_driver_sql(f"PRAGMA {pragma}").scalar_one() == value


def test_a_line_without_a_log_cannot_be_stored(device: Device) -> None:
    stray = {"log_id": 7, "seq": 1, "record": BED, "text": line(), "digest": b""}

    with pytest.raises(IntegrityError), writing(device.engine, FARM) as connection:
        connection.execute(table_of(Line).insert(), stray)


def test_what_is_committed_is_there_when_the_store_is_opened_again(url: URL, opened: Opener) -> None:
    before = Device(opened(url))
    before.write("bed", BED, **A_BED)
    before.engine.dispose()

    after = Device(opened(url))

    assert [bed["name"] for bed in after.rows(Bed)] == ["Bed 1"]
    assert after.write("bed", BED, rows=4).seq == 2


def test_of_a_block_that_fails_nothing_stays_and_the_next_one_works(device: Device) -> None:
    with pytest.raises(KeyError), writing(device.engine, FARM) as connection:  # noqa: PT012 - both are the transaction
        connection.execute(
            table_of(Log).insert(),
            {"farm_id": FARM, "device": TABLET, "origin": TABLET, "base_digest": b"", "digest": b""},
        )
        raise KeyError

    device.write("bed", BED, **A_BED)

    assert [log["device"] for log in device.rows(Log)] == [PHONE]


# ---------------------------------------------------------------------- what is promised about disks


def test_on_a_full_disk_the_person_is_informed_and_what_was_saved_stays(path: Path, opened: Opener) -> None:
    device = Device(opened(sqlite_url(path)))
    device.write("bed", BED, **A_BED)
    with reading(device.engine) as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
        connection.exec_driver_sql(f"PRAGMA max_page_count={pages}")
    long = run_of(TABLET, *(line(seq, record=an_id(seq), set=A_BED | {"note": "n" * 9000}) for seq in range(1, 20)))

    with pytest.raises(StorageError) as result:
        device.take(long)

    assert "full" in result.value.reason
    assert "Everything saved before is safe" in str(result.value)
    assert [bed["name"] for bed in device.rows(Bed)] == ["Bed 1"]
    assert device.complaints() == []
    with reading(device.engine) as connection:
        connection.exec_driver_sql("PRAGMA max_page_count=1000000")
    assert device.take(long).stored == 19


def test_on_a_read_only_disk_the_person_is_informed_and_what_was_saved_can_be_read(path: Path, opened: Opener) -> None:
    Device(opened(sqlite_url(path))).write("bed", BED, **A_BED)
    device = Device(opened(f"sqlite:///file:{path}?mode=ro&uri=true"))

    with pytest.raises(StorageError) as result:
        device.write("bed", BED, rows=4)

    assert "read-only" in result.value.reason
    assert [bed["rows"] for bed in device.rows(Bed)] == [5]
    assert device.complaints() == []


def read_only_and_of_another_shape(path: Path) -> str | URL:
    engine = open_store(sqlite_url(path))
    with writing(engine, FARM) as connection:
        connection.execute(table_of(Meta).update().values(value="a shape of last year"))
    engine.dispose()
    return f"sqlite:///file:{path}?mode=ro&uri=true"


def no_folder(path: Path) -> str | URL:
    return sqlite_url(path / "missing" / "log.db")


def a_folder(path: Path) -> str | URL:
    path.mkdir()
    return sqlite_url(path)


def no_database(path: Path) -> str | URL:
    path.write_bytes(b"no database, but long enough to look like one " * 100)
    return sqlite_url(path)


def damaged(path: Path) -> str | URL:
    """The first page is right and the others are not."""
    open_store(sqlite_url(path)).dispose()
    path.write_bytes(path.read_bytes()[:4096] + b"\xff" * 4096 * 40)
    return sqlite_url(path)


def no_server(path: Path) -> str | URL:
    return f"postgresql+psycopg://rowend@/nowhere?host={path}"


@pytest.mark.parametrize(
    "place", [read_only_and_of_another_shape, no_folder, a_folder, no_database, damaged, no_server]
)
def test_a_store_that_cannot_be_opened_tells_the_person(path: Path, place: Callable[[Path], str | URL]) -> None:
    """And lets go of what it had opened."""
    url = place(path)

    with pytest.raises(StorageError):
        open_store(url)


def test_a_postgresql_that_takes_no_writing_tells_the_person(postgres_url: str) -> None:
    """A standby, or a database set read-only."""
    address = make_url(postgres_url).update_query_dict({"options": "-c default_transaction_read_only=on"})

    with pytest.raises(StorageError) as result:
        open_store(address)

    assert "read-only" in result.value.reason


def test_a_mistake_in_this_program_is_not_called_trouble_with_the_disk(device: Device) -> None:
    with pytest.raises((ProgrammingError, StorageError)) as result, reading(device.engine) as connection:
        connection.exec_driver_sql("SELECT * FROM no_such_table")

    assert device.engine.dialect.name == "sqlite" or result.type is ProgrammingError


# ---------------------------------------------------------------------- one writer per farm at a time


def impatient(url: URL) -> Engine:
    """A second way into the same store, which waits for nobody."""
    if url.get_backend_name() == "postgresql":
        return open_store(url.update_query_dict({"options": "-c lock_timeout=1"}))
    engine = open_store(url)
    with reading(engine) as connection:
        connection.exec_driver_sql("PRAGMA busy_timeout=0")
    return engine


def test_while_one_writes_no_other_writes_for_the_same_farm(url: URL, opened: Opener) -> None:
    """From the first moment, before a line was written: what a writer reads stays true until it has written."""
    engine, other = opened(url), impatient(url)

    with writing(engine, FARM), pytest.raises(StorageError), writing(other, FARM):
        pytest.fail("two writers of one farm were let in")

    with writing(other, FARM) as connection:
        assert connection.execute(select(table_of(Log))).all() == []
    other.dispose()


def test_in_postgresql_a_statement_is_planned_for_the_tables_as_they_are(postgres_url: str, opened: Opener) -> None:
    """Else a first large sync would go by what was quickest in empty tables, slower from batch to batch."""
    with reading(opened(postgres_url)) as connection:
        mode = connection.exec_driver_sql("SHOW plan_cache_mode").scalar()

    assert mode == "force_custom_plan"


def test_in_postgresql_farms_never_wait_for_each_other(postgres_url: str, opened: Opener) -> None:
    engine, other = opened(postgres_url), impatient(make_url(postgres_url))
    one, two = Device(engine), Device(other, TABLET, OTHER_FARM)
    one.write("bed", BED, **A_BED)

    with writing(engine, FARM) as connection:
        connection.execute(table_of(Bed).update().values(rows=1))
        two.write("bed", BED, **A_BED)

    assert two.holds().keys() == {TABLET}
    other.dispose()


@pytest.mark.parametrize("farms", [1, 2])
def test_writers_at_the_same_time_lose_no_line(url: URL, opened: Opener, farms: int) -> None:
    """Four threads, each with a device of its own, write fields of the same records."""
    engine = opened(url)
    devices = [Device(engine, an_id(number), [FARM, OTHER_FARM][number % farms]) for number in range(4)]
    for device in devices[:farms]:
        device.write("bed", BED, **A_BED)
    start = threading.Barrier(4, timeout=WAIT_S)
    names = ["block", "rows", "row_spacing_mm", "bed_spacing_mm"]

    def work(number: int) -> None:
        start.wait()
        for value in range(1, 11):
            changed: dict[str, Any] = {names[number]: "north" if number == 0 else value}
            devices[number].write("bed", BED, **changed)

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(work, range(4)))

    assert count_lines(engine) == 40 + farms
    assert sum(seq for device in devices[:farms] for seq, _ in device.holds().values()) == 40 + farms
    assert all(device.complaints() == [] for device in devices)
    if farms == 1:
        (bed,) = devices[0].rows(Bed)
        assert [bed[name] for name in names] == ["north", 10, 10, 10]


def test_two_pages_that_touch_one_record_at_the_same_time_are_both_folded(
    url: URL, opened: Opener, memory: DeviceMaker
) -> None:
    """Each alone would project its own half."""
    service = Device(opened(url))
    pages = []
    for number, name in enumerate(["block", "texture"], 10):
        phone = memory(new_device(number))
        phone.write("bed", BED, **A_BED | {name: "fine"})
        pages.append(phone.run())
    start = threading.Barrier(2, timeout=WAIT_S)

    def take(number: int) -> int:
        start.wait()
        return service.take(pages[number]).stored

    with ThreadPoolExecutor(2) as pool:
        stored = list(pool.map(take, range(2)))

    (bed,) = service.rows(Bed)
    assert stored == [1, 1]
    assert (bed["block"], bed["texture"]) == ("fine", "fine")
    assert service.complaints() == []


def test_a_reader_sees_one_state_while_others_write(device: Device) -> None:
    """What a side holds and the lines it gives are of one moment."""
    device.write("bed", BED, **A_BED)
    lines = select(func.count()).select_from(table_of(Line))

    with reading(device.engine) as connection:
        before = connection.execute(lines).scalar_one()
        device.write("bed", BED, rows=4)
        after = connection.execute(lines).scalar_one()

    assert (before, after) == (1, 1)
    assert count_lines(device.engine) == 2


def test_a_reader_keeps_nobody_from_writing_and_a_writer_nobody_from_reading(device: Device) -> None:
    device.write("bed", BED, **A_BED)

    with writing(device.engine, FARM) as connection:
        connection.execute(table_of(Bed).update().values(rows=1))
        seen = device.rows(Bed)[0]["rows"]

    assert seen == 5


def test_several_programs_may_open_a_new_store_at_once(url: URL) -> None:
    """The service's processes, or the service and a command: each finds the tables, whoever made them."""
    start = threading.Barrier(4, timeout=WAIT_S)

    def start_up(_: int) -> int:
        start.wait()
        engine = open_store(url)
        lines = count_lines(engine)
        engine.dispose()
        return lines

    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(start_up, range(4))) == [0, 0, 0, 0]


def test_a_refused_entry_does_not_keep_the_farm_locked(url: URL, opened: Opener) -> None:
    device = Device(opened(url))
    other = impatient(url)

    with pytest.raises(BadEntry):
        device.write("bed", BED, rows=0)

    Device(other).write("bed", BED, **A_BED)
    other.dispose()


def test_every_table_that_is_made_again_from_the_logs_is_among_the_derived(device: Device) -> None:
    """So that a program of another shape forgets none when it drops them."""
    kept = {"log", "line", "set_aside", "meta"}

    names = {table_of(model).name for model in DERIVED}

    assert not names & kept
    assert len(device.rows(Log)) == 0


def test_a_store_from_before_logs_were_signed_is_left_alone_and_says_so(tmp_path: Path) -> None:
    file = tmp_path / "old.db"
    with closing(sqlite3.connect(file)) as old:
        old.execute("CREATE TABLE log (id INTEGER PRIMARY KEY, farm_id TEXT, device TEXT, seq INTEGER)")
        old.commit()

    with pytest.raises(StorageError, match="from before logs were signed"):
        open_store(sqlite_url(file))

    with closing(sqlite3.connect(file)) as old:
        assert [name for (name,) in old.execute("SELECT name FROM sqlite_master WHERE type = 'table'")] == ["log"]
