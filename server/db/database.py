"""Open the service's database: logs, projections and the tables of `tables.py`."""

from contextlib import suppress
from pathlib import Path

from sqlalchemy import URL, Engine, make_url

from server.db.migrations import migrate
from shared_models.log.private_files import close_to_others, create_private
from shared_models.log.store import open_store, writing

_NO_FARM = ""


def open_database(url: str | URL) -> Engine:
    """Open the database at `url`; create missing tables and migrate older ones.

    Raises:
        StorageError: when it cannot be opened or written.
    """
    _close_files_to_others(make_url(url))
    engine = open_store(url)
    try:
        with writing(engine, _NO_FARM) as connection:
            migrate(connection)
    except BaseException:
        engine.dispose()
        raise
    return engine


def _close_files_to_others(url: URL) -> None:
    """Make the database's file readable by its owner only; SQLite gives the files beside it the same rights."""
    if url.get_backend_name() != "sqlite" or not url.database or url.database == ":memory:":
        return
    file = Path(url.database)
    with suppress(OSError):  # opening it fails too, with the reason
        if not file.exists():
            create_private(file)
    for each in (file, *(file.with_name(file.name + suffix) for suffix in ("-wal", "-shm"))):
        close_to_others(each)
