"""Checks of a whole database: its own integrity, text that is no text, and logs and lines that belong to nobody."""

import sqlite3
from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection, Select, Table, case, func, select
from sqlalchemy.exc import DatabaseError

from server.db.tables import OWN_TABLES
from server.farms.keys import verify
from server.farms.registry import all_farms
from shared_models.log.log import heads
from shared_models.log.verify import log_problems, stray_logs
from shared_models.records.tables import Log, Meta, SetAside, table_of

#: problems of the file that are named
MOST_NAMED = 20
_LOG = table_of(Log)


def integrity_problems(connection: Connection) -> list[str]:
    """What the database's own check finds wrong with its file; PostgreSQL looks after its files itself."""
    if connection.dialect.name != "sqlite":
        return []
    found = connection.exec_driver_sql(f"PRAGMA integrity_check({MOST_NAMED})").scalars()
    return [f"the database file is damaged: {problem}" for problem in found if problem != "ok"]


def database_problems(connection: Connection) -> list[str]:
    """Everything that is wrong with the database apart from the logs and records of its farms."""
    return [*integrity_problems(connection), *_strays(connection), *_bad_texts(connection)]


def all_log_problems(connection: Connection) -> Iterator[str]:
    """Everything that is wrong with the logs of all farms: one sentence for each problem."""
    for farm in all_farms(connection):
        for log in heads(connection, farm.id):
            yield from (f"{farm.name or farm.id}: {problem}" for problem in log_problems(connection, log, verify))


def copy_problems(connection: Connection) -> list[str]:
    """Everything that is wrong with a copy of the database, as far as it can be read."""
    found: list[str] = []
    try:
        found.extend(database_problems(connection))
        found.extend(all_log_problems(connection))
    # SQLAlchemy's, straight from the driver, or from reading the driver's message, which quotes the damage
    except (DatabaseError, sqlite3.DatabaseError, UnicodeDecodeError) as problem:
        found.append(f"it cannot be read to its end: {problem}")
    return found


def _strays(connection: Connection) -> Iterator[str]:
    farms = [farm.id for farm in all_farms(connection)]
    for device in connection.execute(select(_LOG.c.device).where(_LOG.c.farm_id.not_in(farms))).scalars():
        yield f"the log of device {device} belongs to no farm"
    yield from stray_logs(connection)


def _bad_texts(connection: Connection) -> Iterator[str]:
    """Text that is damaged where no log tells what was written: names, accounts, settings."""
    if connection.dialect.name != "sqlite":
        return
    schema = connection.exec_driver_sql("SELECT hex(name), hex(sql) FROM sqlite_master")
    if any(_is_bad(value) for row in schema for value in row):
        yield "the names of its tables are damaged"
    for table in [*(table_of(model) for model in OWN_TABLES), _LOG, table_of(SetAside), table_of(Meta)]:
        bad = sum(_is_bad(value) for row in connection.execute(_texts(table)) for value in row)
        if bad:
            yield f"table {table.name} holds {bad} damaged texts"


def _texts(table: Table) -> Select[Any]:
    return select(*(case((func.typeof(column) == "text", func.hex(column)), else_="") for column in table.c))


def _is_bad(text: str) -> bool:
    try:
        bytes.fromhex(text).decode()
    except UnicodeDecodeError:
        return True
    return False
