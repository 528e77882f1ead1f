"""Facts about this database that are no records of a farm, each under a name."""

from __future__ import annotations

from sqlalchemy import Connection, Engine
from sqlmodel import Session

from shared_models.log.store import writing
from shared_models.records.tables import Meta


def note(engine: Engine, name: str, value: str) -> None:
    """Remember a fact; what stood under its name is forgotten."""
    with writing(engine, name) as connection, Session(connection) as session:
        session.merge(Meta(name=name, value=value))
        session.flush()


def noted(connection: Connection, name: str) -> str | None:
    """The fact that stands under this name."""
    with Session(connection) as session:
        found = session.get(Meta, name)
        return found.value if found else None


def noted_or(engine: Engine, name: str, value: str) -> str:
    """The fact that stands under this name, which is `value` from now on where there was none."""
    with writing(engine, name) as connection, Session(connection) as session:
        found = session.get(Meta, name)
        if found is None:
            found = Meta(name=name, value=value)
            session.add(found)
            session.flush()
        return found.value
