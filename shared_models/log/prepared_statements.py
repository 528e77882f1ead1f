"""Statements that every tap and every synced line runs: compiled once for each database, then given to its driver."""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from itertools import islice
from operator import itemgetter
from typing import Any

from sqlalchemy import ARRAY, ColumnElement, Connection, Delete, Dialect, Select, String, any_, bindparam
from sqlalchemy.sql import ClauseElement
from sqlalchemy.sql.compiler import SQLCompiler

_Build = Callable[[Mapping[str, Any]], Any]
_Processor = Callable[[Any], Any]
#: ids looked up, and records folded, at once: few enough that what is made of them is still at hand when it is written
AT_ONCE = 200
#: ids in one IN list of SQLAlchemy; below SQLite's limit of variables in one statement
_MOST_IDS = 500


def chunks(ids: Collection[str]) -> Iterable[list[str]]:
    """Split ids into sorted lists that one statement can take."""
    every = sorted(ids)
    return (every[start : start + _MOST_IDS] for start in range(0, len(every), _MOST_IDS))


class Prepared:
    """A statement that takes values as columns do, and gives back rows as the driver does.

    It runs in the connection's transaction, but past SQLAlchemy, which would spend ten times as long on a single line
    as the database does. Errors are the driver's own; `store` knows them.
    """

    def __init__(self, statement: ClauseElement) -> None:
        self._statement = statement
        self._compiled: dict[str, tuple[str, _Build]] = {}

    def run(self, connection: Connection, values: Mapping[str, Any]) -> list[Any]:
        cursor = self._run(connection, values)
        return list(cursor.fetchall()) if cursor.description else []

    def run_counting(self, connection: Connection, values: Mapping[str, Any]) -> int:
        """Run it once and return the number of rows changed."""
        return int(self._run(connection, values).rowcount)

    def _run(self, connection: Connection, values: Mapping[str, Any]) -> Any:
        sql, build = self._compiled_for(connection.dialect)
        cursor = connection.connection.cursor()
        cursor.execute(sql, build(values))
        return cursor

    def run_many(self, connection: Connection, rows: Sequence[Mapping[str, Any]]) -> None:
        if not rows:
            return
        sql, build = self._compiled_for(connection.dialect)
        connection.connection.cursor().executemany(sql, [build(row) for row in rows])

    def _compiled_for(self, dialect: Dialect) -> tuple[str, _Build]:
        if dialect.name not in self._compiled:
            compiled = self._statement.compile(dialect=dialect)
            assert isinstance(compiled, SQLCompiler)  # noqa: S101 - tells the type checker what compile() gives for SQL
            self._compiled[dialect.name] = str(compiled), _parameter_builder(compiled)
        return self._compiled[dialect.name]


class PreparedForIds:
    """A statement about the rows with some ids in a column, whatever their number.

    PostgreSQL takes a list. SQLite takes one value for each place in the statement, so there it is compiled for one id
    and for AT_ONCE.
    """

    def __init__(self, statement: Select[Any] | Delete, column: ColumnElement[str]) -> None:
        self._listed = Prepared(statement.where(column == any_(bindparam("ids", type_=ARRAY(String)))))
        self._placed = {
            count: Prepared(statement.where(column.in_([bindparam(f"id{place}") for place in range(count)])))
            for count in (1, AT_ONCE)
        }

    def run(self, connection: Connection, values: Mapping[str, Any], ids: Iterable[str]) -> list[Any]:
        found: list[Any] = []
        waiting = iter(ids)
        while some := list(islice(waiting, AT_ONCE)):
            if connection.dialect.name == "postgresql":
                found += self._listed.run(connection, {**values, "ids": some})
                continue
            places = 1 if len(some) == 1 else AT_ONCE
            some += some[-1:] * (places - len(some))
            placed = {f"id{place}": each for place, each in enumerate(some)}
            found += self._placed[places].run(connection, {**values, **placed})
        return found


def _parameter_builder(compiled: SQLCompiler) -> _Build:
    """Return the function that converts and orders values for the driver, by name or by position."""
    processors = _bind_processors(compiled)
    if not compiled.positional:
        return lambda values: {
            name: processors[name](values[name]) if name in processors else values[name] for name in values
        }
    places = compiled.positiontup or []
    take: _Build = itemgetter(*places) if len(places) > 1 else lambda values: tuple(values[name] for name in places)
    converted = [(place, processors[name]) for place, name in enumerate(places) if name in processors]
    if not converted:
        return take

    def build(values: Mapping[str, Any]) -> list[Any]:
        taken = list(take(values))
        for place, process in converted:
            taken[place] = process(taken[place])
        return taken

    return build


def _bind_processors(compiled: SQLCompiler) -> dict[str, _Processor]:
    """The bind processor of each parameter by name, such as writing a list as JSON."""
    kinds = ((name, bind.type.dialect_impl(compiled.dialect)) for name, bind in compiled.binds.items())
    processors = ((name, kind.bind_processor(compiled.dialect)) for name, kind in kinds)
    return {name: process for name, process in processors if process is not None}
