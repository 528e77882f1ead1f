"""Open the service's database: logs, projections and the tables of `tables.py`."""

from __future__ import annotations

from sqlalchemy import URL, Engine

from server.db.migrations import migrate
from shared_models.log.store import open_store, writing

_NO_FARM = ""


def open_database(url: str | URL) -> Engine:
    """Open the database at `url`; create missing tables and migrate older ones.

    Raises:
        StorageError: when it cannot be opened or written.
    """
    engine = open_store(url)
    try:
        with writing(engine, _NO_FARM) as connection:
            migrate(connection)
    except BaseException:
        engine.dispose()
        raise
    return engine
