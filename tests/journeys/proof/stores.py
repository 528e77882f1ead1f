"""The databases of a history: read by plain SQL, copied as a backup is, put back."""

import itertools
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any, Protocol

import psycopg
from psycopg.rows import dict_row
from psycopg.sql import SQL, Identifier
from sqlalchemy import URL

from shared_models.log.store import sqlite_url


class Database(Protocol):
    """The service's database."""

    url: URL | str

    def rows(self, sql: str) -> list[dict[str, Any]]:
        """Run one statement."""

    def backup(self) -> int:
        """Copy it as it is, while nobody is connected; return the number of the copy."""

    def restore(self, copy: int) -> None:
        """Put a copy in its place, while nobody is connected."""

    def drop(self) -> None:
        """Remove it and all copies."""


def sqlite_rows(file: Path, sql: str) -> list[dict[str, Any]]:
    with closing(sqlite3.connect(file)) as connection:
        connection.row_factory = sqlite3.Row
        return [dict(row) for row in connection.execute(sql)]


def copy_sqlite(source: Path, target: Path) -> None:
    """Copy a SQLite database over another one."""
    target.parent.mkdir(parents=True, exist_ok=True)
    for old in target.parent.glob(f"{target.name}*"):
        old.unlink()
    with closing(sqlite3.connect(source)) as old_one, closing(sqlite3.connect(target)) as new_one:
        old_one.backup(new_one)


class SqliteDatabase(Database):
    """A SQLite file."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir(parents=True)
        self._file, self._copies = folder / "rowend.db", itertools.count(1)
        self.url = sqlite_url(self._file)

    def rows(self, sql: str) -> list[dict[str, Any]]:
        return sqlite_rows(self._file, sql)

    def backup(self) -> int:
        copy = next(self._copies)
        copy_sqlite(self._file, self._file.with_name(f"copy-{copy}"))
        return copy

    def restore(self, copy: int) -> None:
        copy_sqlite(self._file.with_name(f"copy-{copy}"), self._file)

    def drop(self) -> None:
        """The folder is its owner's to remove."""


class PostgresqlDatabase(Database):
    """A database of a PostgreSQL server whose socket is in a directory."""

    def __init__(self, server: Path, name: str) -> None:
        self._server, self._name, self._copies = server, name, itertools.count(1)
        self._made: list[str] = []
        self.url = f"postgresql+psycopg://rowend@/{name}?host={server}"
        self._create(name, "template1")

    def _create(self, name: str, template: str) -> None:
        self._run("CREATE DATABASE {} TEMPLATE {}", name, template)
        self._made.append(name)

    def _run(self, statement: str, *names: str) -> None:
        with psycopg.connect(f"host={self._server} user=rowend dbname=postgres", autocommit=True) as desk:
            desk.execute(SQL(statement).format(*map(Identifier, names)))

    def rows(self, sql: str) -> list[dict[str, Any]]:
        address = f"host={self._server} user=rowend dbname={self._name}"
        with psycopg.connect(address, row_factory=dict_row) as connection:
            return connection.execute(sql.encode()).fetchall()

    def backup(self) -> int:
        copy = next(self._copies)
        self._create(f"{self._name}_{copy}", self._name)
        return copy

    def restore(self, copy: int) -> None:
        self._run("DROP DATABASE {} WITH (FORCE)", self._name)
        self._run("CREATE DATABASE {} TEMPLATE {}", self._name, f"{self._name}_{copy}")

    def drop(self) -> None:
        for name in self._made:
            self._run("DROP DATABASE {} WITH (FORCE)", name)
