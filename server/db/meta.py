"""Database metadata, key to value."""

from sqlalchemy import Connection, Engine
from sqlmodel import Session

from shared_models.log.store import writing
from shared_models.records.tables import Meta


def set_meta(engine: Engine, name: str, value: str) -> None:
    """Set or replace a value."""
    with writing(engine, name) as connection, Session(connection) as session:
        session.merge(Meta(name=name, value=value))
        session.flush()


def get_meta(connection: Connection, name: str) -> str | None:
    """The value of this name, if any."""
    with Session(connection) as session:
        found = session.get(Meta, name)
        return found.value if found else None


def get_or_set_meta(engine: Engine, name: str, value: str) -> str:
    """The value of this name, set to `value` if it had none."""
    with writing(engine, name) as connection, Session(connection) as session:
        found = session.get(Meta, name)
        if found is None:
            found = Meta(name=name, value=value)
            session.add(found)
            session.flush()
        return found.value
