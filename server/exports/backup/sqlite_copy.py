"""Back up the SQLite database while the service runs, and restore it keeping the old one."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from sqlalchemy import Connection, NullPool, create_engine

from server.farms.registry import all_farms
from shared_models.errors import StorageError, UsageError, WrongMoment
from shared_models.log.atomic_file import replacing
from shared_models.log.log import Head, digest_at, heads
from shared_models.log.store import reading


class FarmContents(NamedTuple):
    """Size of one farm in a database."""

    farm: str
    name: str
    lines: int
    logs: int


def copy_database(database: Path, target: Path) -> None:
    """Copy a consistent snapshot of a database into one file, while the service runs, damaged or not.

    Raises:
        StorageError: when it cannot be written; the old `target` stays.
        WrongMoment: when the database cannot be read at all.
    """
    with replacing(target) as beside, _translate_errors(database, target):
        _copy(database, beside)


def _copy(source: Path, target: Path) -> None:
    with closing(_open_readable(source)) as held, closing(sqlite3.connect(target)) as copy:
        held.backup(copy)
        copy.execute("PRAGMA journal_mode=DELETE")  # one file, with nothing beside it


def _open_readable(path: Path) -> sqlite3.Connection:
    opened = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)
    opened.text_factory = lambda stored: stored.decode(errors="replace")  # `verify` names what is damaged
    return opened


@contextmanager
def _translate_errors(path: Path, target: Path) -> Iterator[None]:
    try:
        yield
    except sqlite3.Error as problem:
        if isinstance(problem, sqlite3.OperationalError):
            raise StorageError(f"{path} cannot be copied to {target} ({problem})") from problem
        raise _unreadable(path) from problem
    except UnicodeDecodeError as problem:  # SQLite's own message quotes the damage
        raise _unreadable(path) from problem


@contextmanager
def open_read_only(path: Path) -> Iterator[Connection]:
    """A read-only connection to a database file.

    Raises:
        WrongMoment: when it cannot be read.
    """
    engine = create_engine("sqlite://", creator=lambda: _open_readable(path), poolclass=NullPool)
    try:
        with reading(engine) as connection:
            yield connection
    except StorageError as problem:
        raise _unreadable(path) from problem
    finally:
        engine.dispose()


def _unreadable(path: Path) -> WrongMoment:
    return WrongMoment(f"{path} is damaged and cannot be read.", "Use another backup; nothing was changed.")


def check_is_backup(path: Path) -> None:
    """Check that a file is a database of this service.

    Raises:
        UsageError: when it is missing, or something else.
    """
    if not path.is_file():
        raise UsageError(f"There is no file {path}.", "Choose a file written by rowend backup.")
    try:
        with closing(_open_readable(path)) as database:
            found = {name for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    except sqlite3.Error:
        found = set()
    if not {"log", "line", "device"} <= found:
        raise UsageError(f"{path} is not a backup of this service.", "Choose a file written by rowend backup.")


def farm_contents(connection: Connection) -> list[FarmContents]:
    """The size of each farm in the database."""
    contents = []
    for farm in all_farms(connection):
        logs = heads(connection, farm.id)
        contents.append(FarmContents(farm.id, farm.name or farm.id, sum(log.seq for log in logs), len(logs)))
    return contents


def lines_only_in(now: Connection, copy: Connection) -> int:
    """Count the lines that the copy lacks."""
    known = {log.device: log for farm in all_farms(copy) for log in heads(copy, farm.id)}
    mine = (log for farm in all_farms(now) for log in heads(now, farm.id))
    return sum(log.seq - _last_common_line(now, log, copy, known.get(log.device)) for log in mine)


def _last_common_line(mine: Connection, log: Head, theirs: Connection, other: Head | None) -> int:
    """Binary search for the last line on which two states of a log agree."""
    low, high = 0, min(log.seq, other.seq) if other else 0
    while other and low < high:
        middle = (low + high + 1) // 2
        if digest_at(mine, log, middle) == digest_at(theirs, other, middle):
            low = middle
        else:
            high = middle - 1
    return low


def replace_database(copy: Path, database: Path, now: datetime) -> Path | None:
    """Replace the database by `copy`; returns the path where the old one is kept.

    Raises:
        WrongMoment: when the database is open, as in the running service.
    """
    kept = _set_aside(database, now) if database.exists() else None
    copy.replace(database)
    return kept


def _set_aside(database: Path, now: datetime) -> Path:
    try:
        with closing(sqlite3.connect(database, timeout=0, isolation_level=None)) as held:
            held.execute("PRAGMA locking_mode=EXCLUSIVE")
            held.execute("PRAGMA journal_mode=DELETE")  # merges the WAL into the file; fails if somebody has it open
            held.execute("BEGIN EXCLUSIVE")
            held.execute("COMMIT")
    except sqlite3.OperationalError as problem:
        raise WrongMoment("The database is in use.", "Stop the service, then restore.") from problem
    except sqlite3.DatabaseError:
        pass  # damaged: keep it as it is
    kept = database.with_name(f"{database.stem}-until-{now:%Y%m%dT%H%M%SZ}{database.suffix}")
    if kept.exists():
        raise WrongMoment(f"{kept} exists already.", "Try again in a second.")
    database.rename(kept)
    database.with_name(f"{database.name}-shm").unlink(missing_ok=True)
    unread = database.with_name(f"{database.name}-wal")
    if unread.exists():  # only beside a damaged database
        unread.rename(kept.with_name(f"{kept.name}-wal"))
    return kept
