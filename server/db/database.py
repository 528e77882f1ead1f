"""The service's database: the logs with their projections, and the tables of `tables.py` beside them."""

from __future__ import annotations

from sqlalchemy import URL, Engine

from server.db.migrations import bring_up_to_date
from shared_models.log.store import open_store, writing

_NO_FARM = ""


def open_database(url: str | URL) -> Engine:
    """Open the database at `url`; what is missing is made, and what an earlier version made is brought up to date.

    Raises:
        StoreTrouble: when it cannot be opened or written.
    """
    engine = open_store(url)
    try:
        with writing(engine, _NO_FARM) as connection:
            bring_up_to_date(connection)
    except BaseException:
        engine.dispose()
        raise
    return engine
