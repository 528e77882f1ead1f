"""What a notebook asks of its database: every statement as SQLite gets it, whoever sends it."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import event

from mobile.log.notebook import Notebook


@dataclass
class Traffic:
    """Statements, without BEGIN and COMMIT; and how many transactions only read, and how many wrote."""

    statements: list[str] = field(default_factory=list)
    reads: int = 0
    writes: int = 0

    def trace(self, statement: str) -> None:
        match statement.split()[0:2]:
            case ["BEGIN", "IMMEDIATE"]:
                self.writes += 1
            case ["BEGIN"]:
                self.reads += 1
            case ["COMMIT" | "ROLLBACK"]:
                pass
            case _:
                self.statements.append(statement)


@contextmanager
def traffic_of(notebook: Notebook) -> Iterator[Traffic]:
    """Listen on every connection of the notebook while the block runs."""
    traffic = Traffic()

    def listen(connection: Any, *_: object) -> None:
        connection.set_trace_callback(traffic.trace)

    def let_go(connection: Any, *_: object) -> None:
        connection.set_trace_callback(None)

    event.listen(notebook.engine, "checkout", listen)
    event.listen(notebook.engine, "checkin", let_go)
    try:
        yield traffic
    finally:
        event.remove(notebook.engine, "checkout", listen)
        event.remove(notebook.engine, "checkin", let_go)
