"""The database under a log: SQLite with nothing lost at power-off, or PostgreSQL; one writer per farm at a time."""

import hashlib
import json
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any
from weakref import WeakKeyDictionary

from sqlalchemy import URL, Connection, Engine, create_engine, event, inspect, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import DatabaseError
from sqlalchemy.schema import CreateTable
from sqlmodel import Session, SQLModel, select

from shared_models.errors import StorageError
from shared_models.log.fair_lock import FairLock
from shared_models.log.projection import rebuild
from shared_models.records.models import RULES_VERSION
from shared_models.records.tables import DERIVED, DamagedLine, Line, Log, Meta, SetAside, SignedHead, table_of

_BUSY_TIMEOUT_S = 30
_PRAGMAS = (
    f"PRAGMA busy_timeout={_BUSY_TIMEOUT_S * 1000}",
    "PRAGMA synchronous=FULL",
    "PRAGMA foreign_keys=ON",
    "PRAGMA wal_autocheckpoint=20000",
    "PRAGMA cache_size=-16000",
)
#: text damaged on the disk must not stop whoever reads past it; `verify` names the line, for its digest is wrong
_TEXT = partial(str, encoding="utf-8", errors="replace")
_WAL_TRIES, _WAL_PAUSE_S = 100, 0.02
DISK_FULL = "the storage is full"
BUSY = "the database is busy"
#: by SQLite's primary result code; other reasons are in the driver's words
STORAGE_REASONS = {
    sqlite3.SQLITE_FULL: DISK_FULL,
    sqlite3.SQLITE_READONLY: "the storage is read-only",
    sqlite3.SQLITE_IOERR: "the storage cannot be read or written",
    sqlite3.SQLITE_CANTOPEN: "the database file cannot be opened",
    sqlite3.SQLITE_CORRUPT: "the database file is damaged",
    sqlite3.SQLITE_NOTADB: "the file is not a database",
    sqlite3.SQLITE_BUSY: BUSY,
}
_PRIMARY = 0xFF
#: the lock of whoever makes tables
_NO_FARM = ""
#: SQLite lets whoever asks at the right moment write, and others wait for as long as somebody keeps asking
_QUEUES: WeakKeyDictionary[Engine, FairLock] = WeakKeyDictionary()
_TRUTH = [table_of(model) for model in (Log, Line, SignedHead, SetAside, DamagedLine, Meta)]
_DERIVED = [table_of(model) for model in DERIVED]


def sqlite_url(path: Path) -> URL:
    """The address of a SQLite file."""
    return URL.create("sqlite", database=str(path))


def open_store(url: str | URL) -> Engine:
    """Open the database at `url` and create missing tables; projections of another shape are rebuilt.

    Raises:
        StorageError: when it cannot be opened or written.
    """
    address = make_url(url)
    engine = create_engine(address, json_serializer=_json)
    if address.get_backend_name() == "sqlite":
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
    else:
        event.listen(engine, "connect", _prepare_postgresql)
    try:
        with writing(engine, _NO_FARM) as connection:
            _refuse_unsigned(connection)
            SQLModel.metadata.create_all(connection, tables=_TRUTH)
            _fit_projections(connection)
    except BaseException:
        engine.dispose()
        raise
    return engine


def _json(value: Any) -> str:
    return "[]" if value == [] else json.dumps(value)  # most lists are empty, and an encoder is slow to start


def _refuse_unsigned(connection: Connection) -> None:
    tables = inspect(connection)
    if tables.has_table("log") and "origin" not in {column["name"] for column in tables.get_columns("log")}:
        raise StorageError("a version of Rowend from before logs were signed wrote it; start with a new one")


def _fit_projections(connection: Connection) -> None:
    with Session(connection) as session:
        shape, held = projection_shape(), session.get(Meta, "projections")
        if held is not None and held.value == shape:
            return
        SQLModel.metadata.drop_all(connection, tables=_DERIVED)
        SQLModel.metadata.create_all(connection, tables=_DERIVED)
        for farm in session.exec(select(Log.farm_id).distinct()).all():
            rebuild(connection, farm)
        session.merge(Meta(name="projections", value=shape))
        session.flush()


def projection_shape() -> str:
    """A fingerprint of the projections' tables; it changes when this program's tables do."""
    parts = [f"rules {RULES_VERSION}", *(str(CreateTable(table)) for table in _DERIVED)]
    parts += sorted(f"{table.name}{index.name}{index.columns.keys()}" for table in _DERIVED for index in table.indexes)
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """A connection that sees one state of the store."""
    one_state = {"isolation_level": "REPEATABLE READ"} if _is_postgresql(engine) else {}
    with _storage_errors(engine), engine.connect().execution_options(**one_state) as connection, connection.begin():
        yield connection


@contextmanager
def writing(engine: Engine, farm: str) -> Iterator[Connection]:
    """The farm's only writer, in one transaction: all of it is on disk when the block ends, or none of it.

    Raises:
        StorageError: when the disk is full, read-only or damaged.
    """
    with (
        _storage_errors(engine),
        _turn(engine),
        engine.connect().execution_options(writing=True) as connection,
        connection.begin(),
    ):
        _lock(connection, farm)
        yield connection


@contextmanager
def _turn(engine: Engine) -> Iterator[None]:
    """In SQLite, the turn of one of this program's writers: who came first goes first."""
    if _is_postgresql(engine):
        yield
        return
    queue = _QUEUES.setdefault(engine, FairLock())
    if not queue.acquire(_BUSY_TIMEOUT_S):
        raise StorageError(BUSY)
    try:
        yield
    finally:
        queue.release()


def _lock(connection: Connection, name: str) -> None:
    # SQLite has one writer anyway: BEGIN IMMEDIATE is the lock
    if _is_postgresql(connection):
        key = int.from_bytes(hashlib.sha256(name.encode()).digest()[:8], signed=True)
        connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": key})


def _is_postgresql(bind: Engine | Connection) -> bool:
    return bind.dialect.name == "postgresql"


@contextmanager
def _storage_errors(engine: Engine) -> Iterator[None]:
    driver = engine.dialect.loaded_dbapi
    try:
        yield
    except (DatabaseError, driver.DatabaseError) as problem:  # SQLAlchemy's, or straight from the driver
        cause = problem.orig if isinstance(problem, DatabaseError) else problem
        # the other kinds of DatabaseError are mistakes in this program
        if isinstance(cause, driver.OperationalError | driver.InternalError) or type(cause) is driver.DatabaseError:
            raise StorageError(_reason(cause)) from problem
        raise
    except UnicodeDecodeError as problem:  # SQLite's own message quotes the damage
        raise StorageError(STORAGE_REASONS[sqlite3.SQLITE_CORRUPT]) from problem


def _reason(cause: Any) -> str:
    known = STORAGE_REASONS.get(getattr(cause, "sqlite_errorcode", 0) & _PRIMARY)
    return known or str(cause).partition("\n")[0]


def _prepare_sqlite(connection: Any, _record: object) -> None:
    connection.isolation_level = None  # transactions are begun below, not guessed by the driver
    connection.text_factory = _TEXT
    for pragma in _PRAGMAS:
        connection.execute(pragma)
    _keep_a_write_ahead_log(connection)


def _keep_a_write_ahead_log(connection: Any) -> None:
    # of two programs that turn a new file to WAL at once, SQLite tells one that it is locked, without waiting
    for tries_left in reversed(range(_WAL_TRIES)):
        try:
            connection.execute("PRAGMA journal_mode=WAL")
        except sqlite3.OperationalError as problem:
            if problem.sqlite_errorcode != sqlite3.SQLITE_BUSY or not tries_left:
                raise
            time.sleep(_WAL_PAUSE_S)
        else:
            return


def _prepare_postgresql(connection: Any, _record: object) -> None:
    # a plan that was made while a table was empty reads all of it, and would be kept while the table fills
    connection.execute("SET plan_cache_mode = force_custom_plan")
    connection.commit()


def _begin_sqlite(connection: Connection) -> None:
    writes = connection.get_execution_options().get("writing", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
