"""Opening the service's database."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from sqlalchemy import URL, inspect

from server.db.database import open_database
from server.runtime.settings import Settings
from shared_models.errors import StorageError


def test_many_processes_may_open_an_empty_database_at_once(any_url: str | URL) -> None:
    with ThreadPoolExecutor(8) as pool:
        engines = list(pool.map(open_database, [any_url] * 8))

    tables = inspect(engines[0]).get_table_names()
    for engine in engines:
        engine.dispose()

    assert {"log", "line", "bed", "device", "pairing_code", "account"} <= set(tables)


def test_a_database_that_cannot_be_opened_is_told(tmp_path: Path) -> None:
    with pytest.raises(StorageError, match="cannot be opened"):
        open_database(Settings.in_directory(tmp_path / "not there").database_url)


def test_a_file_that_is_no_database_is_told_and_left_alone(tmp_path: Path) -> None:
    settings = Settings.in_directory(tmp_path)
    file = tmp_path / "rowend.db"
    file.write_bytes(b"my notes of the season" * 100)

    with pytest.raises(StorageError, match="not a database"):
        open_database(settings.database_url)

    assert file.read_bytes() == b"my notes of the season" * 100


@pytest.mark.parametrize("name", ["my farm", "a?b=c", "50%", "ferme d'été"])
def test_a_directory_may_be_called_anything(tmp_path: Path, name: str) -> None:
    (tmp_path / name).mkdir()

    open_database(Settings.in_directory(tmp_path / name).database_url).dispose()

    assert (tmp_path / name / "rowend.db").exists()
