"""The service's database: the logs with their projections, and the tables of `tables.py` beside them."""

from __future__ import annotations

from sqlalchemy import URL, Engine
from sqlmodel import SQLModel

from server.tables import OWN_TABLES
from shared_models.store import open_store, writing
from shared_models.tables import table_of

_NO_FARM = ""


def open_database(url: str | URL) -> Engine:
    """Open the database at `url`; what is missing is made.

    Raises:
        StoreTrouble: when it cannot be opened or written.
    """
    engine = open_store(url)
    try:
        with writing(engine, _NO_FARM) as connection:
            SQLModel.metadata.create_all(connection, tables=[table_of(model) for model in OWN_TABLES])
    except BaseException:
        engine.dispose()
        raise
    return engine
