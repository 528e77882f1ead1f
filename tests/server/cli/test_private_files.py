"""Whoever else has an account on the service's machine reads nothing of it, whatever the umask."""

import os
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest

from server.cli import main as cli
from server.db.database import open_database
from server.runtime.certificate import certificate_in
from server.runtime.settings import DATABASE_FILE, Settings
from tests.server.support.service import FakeProviders, running_service

FOLDER, FILE = 0o700, 0o600


@pytest.fixture(autouse=True)
def open_umask() -> Iterator[None]:
    """The umask that takes no right away."""
    before = os.umask(0)
    yield
    os.umask(before)


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A farm's data folder, two levels below what there was."""
    data = tmp_path / "farms" / "data"
    assert cli.run(["farm", "new", "Heronbrook", "--zone", "UTC", "--data", str(data)]) == 0
    return data


def rights(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def rights_in(folder: Path) -> dict[str, int]:
    return {path.name: rights(path) for path in folder.iterdir()}


def test_the_data_folder_and_all_in_it_are_for_its_owner_alone(data: Path) -> None:
    with running_service(Settings.in_directory(data).database_url, FakeProviders()) as service:
        service.make_farm("Oak Hollow")
        certificate_in(data, service.fakes.time)
        while_serving = rights_in(data)

    assert (rights(data.parent), rights(data)) == (FOLDER, FOLDER)
    files = (DATABASE_FILE, f"{DATABASE_FILE}-wal", f"{DATABASE_FILE}-shm", "certificate.pem")
    assert while_serving == dict.fromkeys(files, FILE)


def test_backups_exports_and_what_a_restore_leaves_are_for_their_owner_alone(data: Path, tmp_path: Path) -> None:
    out, other = tmp_path / "out", tmp_path / "other"
    out.mkdir(0o755)
    for words in (["backup", "--to", str(out / "barn.db")], ["export", "--out", str(out)]):
        assert cli.run([*words, "--data", str(data)]) == 0
    for _ in range(2):
        assert cli.run(["restore", str(out / "barn.db"), "--data", str(other)]) == 0

    assert len(rights_in(out)) > 5
    assert set(rights_in(out).values()) == {FILE}
    assert len(rights_in(other)) == 2
    assert set(rights_in(other).values()) == {FILE}
    assert (rights(out), rights(other)) == (0o755, FOLDER)


def test_a_folder_from_before_is_closed_by_the_next_command(data: Path) -> None:
    kept = data / "rowend-until-20260514T120000Z.db"
    kept.touch()
    for path in (data / DATABASE_FILE, kept):
        path.chmod(0o644)
    data.chmod(0o755)

    assert cli.run(["verify", "--data", str(data)]) == 0

    assert rights(data) == FOLDER
    assert rights_in(data) == dict.fromkeys((DATABASE_FILE, kept.name), FILE)


def test_a_database_that_is_opened_by_its_address_is_closed_too(tmp_path: Path) -> None:
    for _ in range(2):
        open_database(Settings.in_directory(tmp_path).database_url).dispose()
        assert rights_in(tmp_path) == {DATABASE_FILE: FILE}
        (tmp_path / DATABASE_FILE).chmod(0o666)


def test_a_folder_that_everybody_shares_stays_shared(tmp_path: Path) -> None:
    tmp_path.chmod(0o1777)

    assert cli.run(["farm", "new", "Heronbrook", "--zone", "UTC", "--data", str(tmp_path)]) == 0

    assert rights(tmp_path) == 0o1777
    assert rights_in(tmp_path) == {DATABASE_FILE: FILE}


def test_a_file_in_place_of_the_folder_is_left_as_it_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    letter = tmp_path / "letter"
    letter.touch(0o644)

    assert cli.run(["serve", "--data", str(letter)]) == 1

    assert "cannot be made" in capsys.readouterr().err
    assert rights(letter) == 0o644
