"""Statements that every tap and every synced line runs: compiled once for each database, then handed to the driver."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, CursorResult
from sqlalchemy.sql import ClauseElement
from sqlalchemy.sql.compiler import SQLCompiler


class Prepared:
    """A statement whose values the driver takes as they are: text, whole numbers, bytes.

    What it gives back is as the driver gives it, too.
    """

    def __init__(self, statement: ClauseElement) -> None:
        self._statement = statement
        self._compiled: dict[str, SQLCompiler] = {}

    def run(self, connection: Connection, values: Mapping[str, Any]) -> CursorResult[Any]:
        """Run it once."""
        compiled = self._for(connection)
        return connection.exec_driver_sql(str(compiled), _in_order(compiled, values))

    def run_many(self, connection: Connection, rows: Sequence[Mapping[str, Any]]) -> None:
        """Run it once for each row of values."""
        compiled = self._for(connection)
        connection.exec_driver_sql(str(compiled), [_in_order(compiled, row) for row in rows])

    def _for(self, connection: Connection) -> SQLCompiler:
        dialect = connection.dialect
        if dialect.name not in self._compiled:
            compiled = self._statement.compile(dialect=dialect)
            assert isinstance(compiled, SQLCompiler)  # noqa: S101 - tells the type checker what compile() gives for SQL
            self._compiled[dialect.name] = compiled
        return self._compiled[dialect.name]


def _in_order(compiled: SQLCompiler, values: Mapping[str, Any]) -> Any:
    return tuple(values[name] for name in compiled.positiontup or ()) if compiled.positional else values
