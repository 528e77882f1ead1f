"""`rowend verify` on database files with random damage: none passes in which a row changed."""

import random
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from server.cli import main as cli
from server.runtime.settings import DATABASE_FILE, Settings
from tests.server.support.service import FakeProviders, running_service

Rows = dict[str, list[str]]
PLACES = 24


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The database of a farm with two phones and some hundred lines, as one file."""
    folder, fakes = tmp_path_factory.mktemp("sound"), FakeProviders()
    with running_service(Settings.in_directory(folder).database_url, fakes) as service:
        farm = service.make_farm()
        for _ in range(2):
            phone = service.phone(farm)
            for number in range(150):
                phone.add_bed(f"Bed {number}")
            phone.sync(service)
        service.engine.dispose()
    return folder / DATABASE_FILE


def rows_in(database: Path) -> Rows | None:
    """Every row of every table; None where they cannot all be read."""
    try:
        with closing(sqlite3.connect(f"file:{database}?mode=ro&immutable=1", uri=True)) as opened:
            opened.text_factory = bytes
            names = [name.decode() for (name,) in opened.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
            return {name: sorted(map(repr, opened.execute(f"SELECT * FROM {name}"))) for name in names}  # noqa: S608
    except (sqlite3.Error, UnicodeDecodeError):
        return None


def flip_bits(database: Path, draw: random.Random) -> None:
    content = bytearray(database.read_bytes())
    content[draw.randrange(100, len(content))] ^= draw.randrange(1, 256)
    database.write_bytes(content)


def damaged(sound: Path, folder: Path, draw: random.Random, harm: Callable[[Path, random.Random], None]) -> Path:
    folder.mkdir()
    shutil.copy(sound, folder / DATABASE_FILE)
    harm(folder / DATABASE_FILE, draw)
    return folder


@pytest.mark.parametrize("seed", [1, 2])
def test_no_file_passes_in_which_a_row_changed(sound: Path, tmp_path: Path, seed: int) -> None:
    draw, before = random.Random(seed), rows_in(sound)
    passed, changed = [], 0
    for number in range(PLACES // 2):
        folder = damaged(sound, tmp_path / str(number), draw, flip_bits)
        differs = rows_in(folder / DATABASE_FILE) != before
        changed += differs
        if cli.run(["verify", "--data", str(folder)]) == 0 and differs:
            passed.append(number)

    assert passed == []
    assert changed > 0
