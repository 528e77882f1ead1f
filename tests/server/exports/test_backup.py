"""`rowend backup` and `rowend restore`: a copy that is whole, put back without losing what stood there."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from server.cli import backup
from server.cli import main as cli
from server.exports.backup.sqlite_copy import copy_database
from server.runtime.settings import DATABASE_FILE, Settings
from shared_models.log.damage import START, check_logs
from shared_models.log.repair import wanted_runs
from shared_models.log.store import reading
from shared_models.sync.wire import Page
from tests.server.exports.conftest import run
from tests.server.support.service import FakeProviders, Phone, Service, running_service


@pytest.fixture
def data(tmp_path: Path) -> Path:
    data = tmp_path / "data"
    data.mkdir()
    return data


@pytest.fixture
def service(data: Path, fakes: FakeProviders) -> Iterator[Service]:
    with running_service(Settings.in_directory(data).database_url, fakes) as running:
        yield running


def kept_beside(data: Path) -> list[Path]:
    return [path for path in data.iterdir() if path.name != DATABASE_FILE]


def beds(data: Path, farm: str) -> set[str]:
    with running_service(Settings.in_directory(data).database_url, FakeProviders()) as service:
        assert service.faults(farm) == []
        return set(service.beds(farm).values())


def stop(service: Service) -> None:
    service.engine.dispose()


@pytest.mark.usefixtures("phone")
def test_a_backup_is_one_whole_file_taken_while_the_service_runs(
    data: Path, tmp_path: Path, farm: str, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "sticks" / "barn.db"

    assert run(data, "backup", "--to", target) == 0

    assert "Heronbrook with 2 lines in 3 logs" in capsys.readouterr().out
    assert [path.name for path in target.parent.iterdir()] == ["barn.db"]
    other = tmp_path / "other"
    assert run(other, "restore", target) == 0
    assert beds(other, farm) == {"North 1"}


@pytest.mark.usefixtures("phone")
def test_a_backup_writes_over_nothing_unless_told(data: Path, tmp_path: Path) -> None:
    target = tmp_path / "barn.db"
    target.write_text("precious")

    assert run(data, "backup", "--to", target) == 2
    assert target.read_text() == "precious"
    assert run(data, "backup", "--to", target, "--force") == 0
    assert target.read_bytes().startswith(b"SQLite format 3")


def test_a_backup_that_cannot_be_written_leaves_what_was_there(
    data: Path, phone: Phone, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "file").touch()

    assert phone.beds
    assert run(data, "backup", "--to", tmp_path / "file" / "barn.db") == 1
    assert "cannot be written" in capsys.readouterr().err


def test_restoring_is_refused_where_newer_entries_would_go(
    data: Path, service: Service, phone: Phone, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    farm, target = phone.farm, tmp_path / "barn.db"
    run(data, "backup", "--to", target)
    phone.add_bed("North 2")
    phone.sync(service)
    stop(service)

    assert run(data, "restore", target) == 1
    assert "The backup lacks 1 of the lines" in capsys.readouterr().err
    assert beds(data, farm) == {"North 1", "North 2"}

    assert run(data, "restore", target, "--force") == 0
    (kept,) = kept_beside(data)
    assert f"kept in {kept}" in capsys.readouterr().out
    with running_service(Settings.in_directory(data).database_url, FakeProviders()) as restored:
        assert set(restored.beds(farm).values()) == {"North 1"}
        phone.sync(restored)
        assert set(restored.beds(farm).values()) == {"North 1", "North 2"}
    before = tmp_path / "before"
    assert run(before, "restore", kept) == 0
    assert beds(before, farm) == {"North 1", "North 2"}


def test_restoring_what_holds_everything_needs_no_force(
    data: Path, service: Service, phone: Phone, tmp_path: Path
) -> None:
    run(data, "backup", "--to", tmp_path / "barn.db")
    stop(service)

    assert run(data, "restore", tmp_path / "barn.db") == 0
    assert beds(data, phone.farm) == {"North 1"}


@pytest.mark.usefixtures("phone")
def test_a_running_service_keeps_its_database(
    data: Path, farm: str, service: Service, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run(data, "backup", "--to", tmp_path / "barn.db")

    assert run(data, "restore", tmp_path / "barn.db") == 1

    assert "Stop the service" in capsys.readouterr().err
    assert set(service.beds(farm).values()) == {"North 1"}
    stop(service)
    assert kept_beside(data) == []


def test_a_log_that_parted_counts_from_where_it_parted(
    data: Path, service: Service, phone: Phone, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A database that was restored before and went on otherwise holds lines of its own, though not more of them."""
    run(data, "backup", "--to", tmp_path / "early.db")
    phone.add_bed("North 2")
    phone.sync(service)
    run(data, "backup", "--to", tmp_path / "late.db")
    stop(service)
    run(data, "restore", tmp_path / "early.db", "--force")
    twin = Phone(phone.farm, phone.fakes)
    twin.device, twin.bearer = phone.device, phone.bearer
    with running_service(Settings.in_directory(data).database_url, FakeProviders()) as restored:
        twin.exchange(restored, twin.page({}))
        twin.add_bed("North 3")
        twin.sync(restored)
    capsys.readouterr()

    assert run(data, "restore", tmp_path / "late.db") == 1
    assert "The backup lacks 1 of the lines" in capsys.readouterr().err


@pytest.mark.parametrize("content", [b"", b"I am a letter", b"SQLite format 3\0 no more"])
def test_a_file_that_is_no_backup_is_not_restored(
    data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes
) -> None:
    (tmp_path / "letter").write_bytes(content)

    assert run(data, "restore", tmp_path / "letter") == 2
    assert "not a backup of this service" in capsys.readouterr().err
    assert kept_beside(data) == []


def test_another_programs_database_and_no_file_are_told(
    data: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with closing(sqlite3.connect(tmp_path / "other.db")) as other:
        other.execute("CREATE TABLE line (a)")

    for file, message in (("other.db", "not a backup of this service"), ("none.db", "There is no file")):
        assert run(data, "restore", tmp_path / file) == 2
        assert message in capsys.readouterr().err


def test_a_damaged_backup_is_not_restored(
    data: Path, service: Service, phone: Phone, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A line that is not what was written breaks the log's chain; the database that is there stays."""
    target = tmp_path / "barn.db"
    run(data, "backup", "--to", target)
    with closing(sqlite3.connect(target)) as copy, copy:
        copy.execute("UPDATE line SET text = replace(text, 'North', 'South')")
    stop(service)

    assert run(data, "restore", target) == 1
    assert f"log of device {phone.device} is broken at line 1" in capsys.readouterr().err
    target.write_bytes(target.read_bytes()[:8192])
    assert run(data, "restore", target) in (1, 2)
    assert beds(data, phone.farm) == {"North 1"}
    assert kept_beside(data) == []


def harm_a_line(path: Path) -> None:
    with closing(sqlite3.connect(path)) as database, database:
        database.execute("UPDATE line SET text = replace(text, 'North', 'South')")


def test_a_damaged_database_is_backed_up_and_the_damage_is_named(
    data: Path, phone: Phone, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It never says Saved, and never that rebuild would help."""
    harm_a_line(data / DATABASE_FILE)

    assert run(data, "backup", "--to", tmp_path / "barn.db") == 1

    out, err = capsys.readouterr()
    assert "Saved" not in out
    assert f"log of device {phone.device} is broken at line 1: sync a phone that has it" in err
    assert "Sync a phone that has the damaged lines" in err
    assert "rebuild" not in err
    assert (tmp_path / "barn.db").exists()


@pytest.mark.usefixtures("phone")
def test_a_copy_that_is_not_what_was_copied_is_never_called_saved(
    data: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The disk of the backup is bad."""

    def copy_badly(source: Path, target: Path) -> None:
        copy_database(source, target)
        harm_a_line(target)

    monkeypatch.setattr(backup, "copy_database", copy_badly)

    assert run(data, "backup", "--to", tmp_path / "barn.db") == 1

    out, err = capsys.readouterr()
    assert "Saved" not in out
    assert "Back up to another disk" in err


def test_a_damaged_backup_is_restored_when_asked_and_its_line_comes_back(
    data: Path, service: Service, phone: Phone, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Better a backup with a damaged line than none: a phone that has the line brings it."""
    target = tmp_path / "barn.db"
    run(data, "backup", "--to", target)
    harm_a_line(target)
    stop(service)

    assert run(data, "restore", target, "--damaged", "--force") == 0

    assert f"log of device {phone.device} is broken at line 1" in capsys.readouterr().err
    check_logs(service.engine, phone.farm, START, 100)
    answer = phone.exchange(service, Page(phone.farm, phone.holds))
    with reading(phone.engine) as connection:
        runs = list(wanted_runs(connection, phone.farm, answer.wanted))
    phone.exchange(service, Page(phone.farm, phone.holds, runs))
    assert beds(data, phone.farm) == {"North 1"}


def test_a_damaged_database_makes_way_with_force(
    data: Path, service: Service, phone: Phone, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run(data, "backup", "--to", tmp_path / "barn.db")
    stop(service)
    (data / DATABASE_FILE).write_bytes(b"torn to pieces" * 100)

    assert run(data, "restore", tmp_path / "barn.db") == 1
    assert "cannot be read" in capsys.readouterr().err
    assert run(data, "restore", tmp_path / "barn.db", "--force") == 0
    assert beds(data, phone.farm) == {"North 1"}
    (kept,) = kept_beside(data)
    assert kept.read_bytes().startswith(b"torn")


@pytest.mark.parametrize("words", [["backup", "--to", "barn.db"], ["restore", "barn.db"]])
@pytest.mark.parametrize(
    ("url", "message"), [("postgresql+psycopg://rowend@/rowend", "pg_dump"), ("sqlite:///x.db", "--data DIR")]
)
def test_a_database_elsewhere_is_looked_after_with_its_own_tools(
    capsys: pytest.CaptureFixture[str], words: list[str], url: str, message: str
) -> None:
    assert cli.run([*words, "--database-url", url]) == 2
    assert message in capsys.readouterr().err
