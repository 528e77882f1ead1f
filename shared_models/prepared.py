"""Statements that every tap and every synced line runs: compiled once for each database, then handed to the driver."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from operator import itemgetter
from typing import Any

from sqlalchemy import Connection, CursorResult, Dialect
from sqlalchemy.sql import ClauseElement
from sqlalchemy.sql.compiler import SQLCompiler

_Arrange = Callable[[Mapping[str, Any]], Any]


class Prepared:
    """A statement whose values the driver takes as they are: text, whole numbers, bytes.

    What it gives back is as the driver gives it, too.
    """

    def __init__(self, statement: ClauseElement) -> None:
        self._statement = statement
        self._compiled: dict[str, tuple[str, _Arrange]] = {}

    def run(self, connection: Connection, values: Mapping[str, Any]) -> CursorResult[Any]:
        """Run it once."""
        sql, arrange = self._for(connection.dialect)
        return connection.exec_driver_sql(sql, arrange(values))

    def run_many(self, connection: Connection, rows: Sequence[Mapping[str, Any]]) -> None:
        """Run it once for each row of values."""
        sql, arrange = self._for(connection.dialect)
        connection.exec_driver_sql(sql, [arrange(row) for row in rows])

    def _for(self, dialect: Dialect) -> tuple[str, _Arrange]:
        if dialect.name not in self._compiled:
            compiled = self._statement.compile(dialect=dialect)
            assert isinstance(compiled, SQLCompiler)  # noqa: S101 - tells the type checker what compile() gives for SQL
            self._compiled[dialect.name] = str(compiled), _arrangement(compiled)
        return self._compiled[dialect.name]


def _arrangement(compiled: SQLCompiler) -> _Arrange:
    """How the driver wants the values: by name, or in the order of their places."""
    places = compiled.positiontup or []
    if not compiled.positional:
        return dict
    return itemgetter(*places) if len(places) > 1 else lambda values: tuple(values[name] for name in places)
