"""The data folder is on a read-only disk: what only reads works on a copy, what writes says that it cannot."""

import errno
import os
import pwd
import shutil
import sqlite3
import stat
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from server.cli import main as cli
from server.cli import read_only
from server.cli.read_only import is_read_only, private_copy
from server.runtime.settings import DATABASE_FILE, Settings
from tests.server.support.service import FakeProviders, running_service

NOTICE = "The data folder is read-only; working on a copy.\n"
CLOSED, WITH_LOG, WITH_INDEX = ("",), ("", "-wal"), ("", "-wal", "-shm")
#: whoever runs the tests as root may write anywhere, so the commands run as somebody else
READER = pwd.getpwnam("nobody").pw_uid if os.geteuid() == 0 else os.geteuid()

MakeData = Callable[..., Path]


@contextmanager
def as_reader() -> Iterator[None]:
    before = os.geteuid()
    os.seteuid(READER)
    try:
        yield
    finally:
        os.seteuid(before)


def run_as_reader(*words: str | Path) -> int:
    with as_reader():
        return cli.run([str(word) for word in words])


@pytest.fixture(scope="module")
def databases(tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[str, ...], Path]:
    """What a service that ended well leaves, and what one that was killed leaves: its last lines in its log only."""
    folder = tmp_path_factory.mktemp("farm")
    closed, killed, fakes = folder / "closed", folder / "killed", FakeProviders()
    closed.mkdir()
    killed.mkdir()
    with running_service(Settings.in_directory(folder).database_url, fakes) as service:
        phone = service.phone(service.make_farm())
        phone.add_bed("North 1")
        phone.sync(service)
    shutil.copy(folder / DATABASE_FILE, closed)
    with running_service(Settings.in_directory(folder).database_url, fakes) as service:
        phone.add_bed("North 2")
        phone.sync(service)
        for suffix in WITH_INDEX:
            shutil.copy(folder / f"{DATABASE_FILE}{suffix}", killed)
    return {CLOSED: closed, WITH_LOG: killed, WITH_INDEX: killed}


@pytest.fixture
def top() -> Iterator[Path]:
    """A folder that the reader comes into; pytest's own are closed to everybody else."""
    with tempfile.TemporaryDirectory() as name:
        top = Path(name)
        top.chmod(0o755)
        for folder in ("out", "temporary"):
            (top / folder).mkdir()
            os.chown(top / folder, READER, -1)
        yield top
        for made in top.iterdir():
            made.chmod(0o700)


@pytest.fixture
def temporary(top: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where copies are made."""
    monkeypatch.setattr(tempfile, "tempdir", str(top / "temporary"))
    return top / "temporary"


@pytest.fixture
def make_data(top: Path, databases: dict[tuple[str, ...], Path]) -> MakeData:
    def make(files: tuple[str, ...], harm: Callable[[Path], None] | None = None, name: str = "data") -> Path:
        data = top / name
        data.mkdir()
        for suffix in files:
            shutil.copy(databases[files] / f"{DATABASE_FILE}{suffix}", data)
        if harm:
            harm(data / DATABASE_FILE)
        for path in data.iterdir():
            path.chmod(0o400)
        for path in (*data.iterdir(), data):
            os.chown(path, READER, -1)
        data.chmod(0o500)
        return data

    return make


def files_in(folder: Path) -> dict[str, tuple[int, bytes]]:
    return {path.name: (path.stat().st_mode, path.read_bytes()) for path in folder.iterdir()}


@pytest.mark.parametrize(
    ("files", "held"),
    [(CLOSED, "2 lines"), (WITH_LOG, "3 lines"), (WITH_INDEX, "3 lines")],
    ids=["closed", "lines in the log", "index left too"],
)
def test_what_only_reads_works_on_a_read_only_disk(
    make_data: MakeData,
    top: Path,
    temporary: Path,
    capsys: pytest.CaptureFixture[str],
    files: tuple[str, ...],
    held: str,
) -> None:
    """Lines that are still in the write-ahead log are read too; nothing in the folder changes, and no copy is left."""
    data, out, printed = make_data(files), top / "out", {}
    before = files_in(data)

    for words in (
        ["verify"],
        ["report", "rates", "--json"],
        ["report", "plan"],
        ["export", "--out", out / "all"],
        ["export", "--out", out / "record.html", "--record", "North 1"],
        ["bundle", "--out", out / "farm.rowend"],
        ["backup", "--to", out / "barn.db"],
    ):
        assert run_as_reader(*words, "--data", data) == 0, (words, capsys.readouterr().err)
        text, errors = capsys.readouterr()
        assert errors == NOTICE
        printed[words[0]] = text

    assert printed["verify"] == "Heronbrook: all logs and records are OK.\n"
    assert held in printed["backup"]
    assert ("North 2" in (out / "all" / "bed.csv").read_text()) == (held == "3 lines")
    assert files_in(data) == before
    assert list(temporary.iterdir()) == []


@pytest.mark.usefixtures("temporary")
def test_a_link_to_a_database_is_read_with_the_log_beside_the_database(
    make_data: MakeData, top: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (top / "out" / DATABASE_FILE).symlink_to(make_data(WITH_LOG) / DATABASE_FILE)

    assert run_as_reader("backup", "--to", top / "out" / "barn.db", "--data", top / "out") == 0

    assert "3 lines" in capsys.readouterr().out


@pytest.mark.usefixtures("temporary")
def test_the_database_may_be_named_by_its_address(make_data: MakeData, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_as_reader("verify", "--database-url", f"sqlite:///{make_data(CLOSED) / DATABASE_FILE}") == 0

    assert capsys.readouterr().err == NOTICE


def harm_a_line(database: Path) -> None:
    with closing(sqlite3.connect(database)) as opened, opened:
        opened.execute("UPDATE line SET text = replace(text, 'North', 'South')")


def harm_the_file(database: Path) -> None:
    content = bytearray(database.read_bytes())
    content[8192:40960] = b"\xff" * 32768
    database.write_bytes(content)


def harm_the_start(database: Path) -> None:
    database.write_bytes(b"?" * 8192)


@pytest.mark.parametrize("harm", [harm_a_line, harm_the_file, harm_the_start])
@pytest.mark.usefixtures("temporary")
def test_damage_is_named_as_on_any_disk(
    make_data: MakeData, capsys: pytest.CaptureFixture[str], harm: Callable[[Path], None]
) -> None:
    data, elsewhere = make_data(CLOSED, harm), make_data(CLOSED, harm, name="elsewhere")
    elsewhere.chmod(0o700)
    (elsewhere / DATABASE_FILE).chmod(0o600)

    expected = run_as_reader("verify", "--data", elsewhere), capsys.readouterr().err
    found = run_as_reader("verify", "--data", data), capsys.readouterr().err

    assert expected[0] == 1
    assert found == (1, NOTICE + expected[1])


@pytest.mark.parametrize("files", [CLOSED, WITH_LOG], ids=["closed", "lines in the log"])
@pytest.mark.parametrize("words", [["serve"], ["pair"], ["farm", "owner"], ["rebuild"], ["calendar"]])
def test_what_writes_says_that_it_cannot_and_what_to_do(
    make_data: MakeData, capsys: pytest.CaptureFixture[str], words: list[str], files: tuple[str, ...]
) -> None:
    assert run_as_reader(*words, "--data", make_data(files)) == 1

    errors = capsys.readouterr().err
    assert errors.startswith("Could not save: the ")
    assert "check the storage, then try again" in errors
    assert NOTICE not in errors


@pytest.mark.usefixtures("temporary")
def test_sqlite_itself_copies_what_a_service_may_be_writing(make_data: MakeData) -> None:
    """Log and database copied one after the other would not fit together; SQLite's copy is one file."""
    data = make_data(WITH_INDEX)

    with as_reader(), private_copy(data / DATABASE_FILE) as copy:
        assert [path.name for path in copy.parent.iterdir()] == [DATABASE_FILE]


@pytest.mark.parametrize("files", [CLOSED, WITH_INDEX])
def test_nobody_else_can_read_the_copy(make_data: MakeData, temporary: Path, files: tuple[str, ...]) -> None:
    data = make_data(files)

    with as_reader(), private_copy(data / DATABASE_FILE) as copy:
        assert copy.parent.parent == temporary
        assert stat.S_IMODE(copy.parent.stat().st_mode) == 0o700

    assert not copy.parent.exists()


def test_without_room_for_a_copy_the_error_says_what_to_do(
    make_data: MakeData, temporary: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    temporary.chmod(0o500)

    assert run_as_reader("verify", "--data", make_data(CLOSED)) == 1

    assert "TMPDIR can name a folder" in capsys.readouterr().err


@pytest.mark.parametrize(("problem", "expected"), [(errno.EROFS, True), (errno.EACCES, True), (errno.ENOSPC, False)])
def test_a_folder_that_refuses_new_files_is_read_only_and_a_full_one_is_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, problem: int, expected: bool
) -> None:
    """Its rights may say otherwise, as on a network disk."""

    def refuse(**_: object) -> None:
        raise OSError(problem, os.strerror(problem))

    (tmp_path / DATABASE_FILE).touch()
    assert not is_read_only(tmp_path / DATABASE_FILE)

    monkeypatch.setattr(read_only, "TemporaryFile", refuse)

    assert is_read_only(tmp_path / DATABASE_FILE) is expected


def test_a_database_that_cannot_even_be_read_is_not_read_only(make_data: MakeData) -> None:
    data = make_data(CLOSED)
    (data / DATABASE_FILE).chmod(0)

    with as_reader():
        assert not is_read_only(data / DATABASE_FILE)
