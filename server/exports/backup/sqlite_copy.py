"""Copies of the service's SQLite file: taken while it serves, and put back without losing what stood there."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from sqlalchemy import Connection, NullPool, create_engine

from server.farms.registry import every_farm
from shared_models.errors import StoreTrouble, WrongMoment, WrongUse
from shared_models.log.atomic_file import replacing
from shared_models.log.log import Head, digest_at, heads
from shared_models.log.store import reading
from shared_models.log.verify import first_broken_line


class Held(NamedTuple):
    """What a database holds of one farm."""

    farm: str
    name: str
    lines: int
    logs: int


def copy_to(database: Path, target: Path) -> None:
    """Copy a database, as it stands at one moment, into one file; the service may go on meanwhile.

    Raises:
        StoreTrouble: when it cannot be written; what was at `target` stays.
        WrongMoment: when the database is damaged.
    """
    with replacing(target) as beside:
        _copy(database, beside)


def _copy(source: Path, target: Path) -> None:
    with _telling(source), closing(_open_readable(source)) as held, closing(sqlite3.connect(target)) as copy:
        held.backup(copy)
        copy.execute("PRAGMA journal_mode=DELETE")  # one file, with nothing beside it
        (health,) = copy.execute("PRAGMA integrity_check(1)").fetchone()
        if health != "ok":
            raise _unreadable(source)


def _open_readable(path: Path) -> sqlite3.Connection:
    opened = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)
    opened.text_factory = lambda stored: stored.decode(errors="replace")  # `verify` names what is damaged
    return opened


@contextmanager
def _telling(path: Path) -> Iterator[None]:
    try:
        yield
    except sqlite3.Error as problem:
        if isinstance(problem, sqlite3.OperationalError):
            raise StoreTrouble(f"{path} cannot be copied ({problem})") from problem
        raise _unreadable(path) from problem


@contextmanager
def looking_into(path: Path) -> Iterator[Connection]:
    """A connection that reads a database's file and changes nothing of it.

    Raises:
        WrongMoment: when it cannot be read.
    """
    engine = create_engine("sqlite://", creator=lambda: _open_readable(path), poolclass=NullPool)
    try:
        with reading(engine) as connection:
            yield connection
    except StoreTrouble as problem:
        raise _unreadable(path) from problem
    finally:
        engine.dispose()


def _unreadable(path: Path) -> WrongMoment:
    return WrongMoment(f"{path} is damaged and cannot be read.", "Use another backup; nothing was changed.")


def check_is_ours(path: Path) -> None:
    """Look whether a file is a database of this service.

    Raises:
        WrongUse: when it is not there, or something else.
    """
    if not path.is_file():
        raise WrongUse(f"There is no file {path}.", "Name a file that rowend backup has written.")
    try:
        with closing(_open_readable(path)) as database:
            found = {name for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    except sqlite3.Error:
        found = set()
    if not {"log", "line", "device"} <= found:
        raise WrongUse(f"{path} is no backup of this service.", "Name a file that rowend backup has written.")


def held_in(connection: Connection) -> list[Held]:
    """What the database holds, farm by farm."""
    told = []
    for farm in every_farm(connection):
        logs = heads(connection, farm.id)
        told.append(Held(farm.id, farm.name or farm.id, sum(log.seq for log in logs), len(logs)))
    return told


def broken_logs(connection: Connection) -> list[str]:
    """A sentence for each log that is not whole."""
    return [
        f"{farm.name or farm.id}: log of device {log.device} is broken at line {seq}"
        for farm in every_farm(connection)
        for log in heads(connection, farm.id)
        if (seq := first_broken_line(connection, log)) is not None
    ]


def lines_only_in(now: Connection, copy: Connection) -> int:
    """How many lines the database holds that a copy of it lacks."""
    known = {log.device: log for farm in every_farm(copy) for log in heads(copy, farm.id)}
    mine = (log for farm in every_farm(now) for log in heads(now, farm.id))
    return sum(log.seq - _common(now, log, copy, known.get(log.device)) for log in mine)


def _common(mine: Connection, log: Head, theirs: Connection, other: Head | None) -> int:
    """The last line up to which two states of a log agree."""
    low, high = 0, min(log.seq, other.seq) if other else 0
    while other and low < high:
        middle = (low + high + 1) // 2
        if digest_at(mine, log, middle) == digest_at(theirs, other, middle):
            low = middle
        else:
            high = middle - 1
    return low


def put_in_place(copy: Path, database: Path, now: datetime) -> Path | None:
    """Let `copy` be the database; what stood there before, which is kept beside it.

    Raises:
        WrongMoment: when something has the database open, such as the running service.
    """
    kept = _set_aside(database, now) if database.exists() else None
    copy.replace(database)
    return kept


def _set_aside(database: Path, now: datetime) -> Path:
    try:
        with closing(sqlite3.connect(database, timeout=0, isolation_level=None)) as held:
            held.execute("PRAGMA locking_mode=EXCLUSIVE")
            held.execute("PRAGMA journal_mode=DELETE")  # brings everything into the one file, if nobody has it open
            held.execute("BEGIN EXCLUSIVE")
            held.execute("COMMIT")
    except sqlite3.OperationalError as problem:
        raise WrongMoment("The database is in use.", "Stop the service, then restore.") from problem
    except sqlite3.DatabaseError:
        pass  # damaged: it is kept as it is
    kept = database.with_name(f"{database.stem}-until-{now:%Y%m%dT%H%M%SZ}{database.suffix}")
    if kept.exists():
        raise WrongMoment(f"{kept} is there already.", "Try again in a second.")
    database.rename(kept)
    database.with_name(f"{database.name}-shm").unlink(missing_ok=True)
    unread = database.with_name(f"{database.name}-wal")
    if unread.exists():  # only beside a damaged database
        unread.rename(kept.with_name(f"{kept.name}-wal"))
    return kept
