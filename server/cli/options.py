"""Options that commands share: which database, which farm."""

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Annotated

import typer
from sqlalchemy import URL, Engine, make_url
from sqlalchemy.exc import ArgumentError, NoSuchModuleError

from server.cli.read_only import is_read_only, private_copy
from server.db.database import open_database
from server.farms.registry import FarmRow, find_farm
from server.runtime.settings import DATABASE_FILE, Settings
from shared_models.errors import UsageError
from shared_models.log.private_files import private_folder
from shared_models.log.store import reading, sqlite_url

DEFAULT_DATA = Path("data")
_WITH_A_COPY = "The data folder is read-only; working on a copy."

Data = Annotated[Path, typer.Option(envvar="ROWEND_DATA", metavar="DIR", help="Folder of the service's database.")]
DatabaseUrl = Annotated[
    str | None,
    typer.Option(
        envvar="ROWEND_DATABASE_URL",
        metavar="URL",
        help="Database to use instead of DIR, such as postgresql+psycopg://USER@HOST/NAME.",
    ),
]
FarmChoice = Annotated[
    str | None, typer.Option("--farm", metavar="FARM", help="Name or id of the farm, when there are several.")
]


def chosen_settings(data: Path, database_url: str | None, *, make: bool) -> Settings:
    """The settings that the options mean; `make` makes the folder. Nobody but its owner can read what is in it.

    Raises:
        UsageError: the folder has no database yet.
        StorageError: the folder cannot be made.
    """
    if database_url is not None:
        return Settings(database_url)
    if not make and not (data / DATABASE_FILE).exists():
        raise UsageError(
            f"There is no farm in {data} yet.", f"Make one with: rowend farm new NAME --zone ZONE --data {data}"
        )
    private_folder(data)
    return Settings.in_directory(data)


@contextmanager
def opened(data: Path, database_url: str | None, *, make: bool = False) -> Iterator[Engine]:
    """The database that the options mean, open until the block ends.

    Raises:
        UsageError: there is none yet (unless `make`), or `database_url` is no database URL.
        StorageError: it cannot be opened.
    """
    with _open(chosen_settings(data, database_url, make=make).database_url) as engine:
        yield engine


@contextmanager
def opened_to_read(data: Path, database_url: str | None) -> Iterator[Engine]:
    """The database as `opened`, for a command that only reads it; on a read-only disk, a copy of it."""
    url = chosen_settings(data, database_url, make=False).database_url
    with ExitStack() as stack:
        file = _file_of(url)
        if file is not None and is_read_only(file):
            typer.echo(_WITH_A_COPY, err=True)
            url = sqlite_url(stack.enter_context(private_copy(file)))
        yield stack.enter_context(_open(url))


def _file_of(url: str | URL) -> Path | None:
    with _url_errors():
        address = make_url(url)
        if address.get_backend_name() != "sqlite" or not address.database:
            return None
    return Path(address.database).resolve()  # SQLite's own files are beside the file that a link leads to


@contextmanager
def _open(url: str | URL) -> Iterator[Engine]:
    with _url_errors():
        engine = open_database(url)
    try:
        yield engine
    finally:
        engine.dispose()


@contextmanager
def _url_errors() -> Iterator[None]:
    try:
        yield
    except (ArgumentError, NoSuchModuleError) as problem:
        raise UsageError(
            "That is not a database URL.",
            "Write it like postgresql+psycopg://USER@HOST/NAME, or leave it out and use --data DIR.",
        ) from problem


@contextmanager
def opened_farm(farm: str | None, data: Path, database_url: str | None) -> Iterator[tuple[Engine, FarmRow]]:
    """The database and the farm that the options mean, as `opened`."""
    with opened(data, database_url) as engine:
        yield engine, _farm(engine, farm)


@contextmanager
def farm_to_read(farm: str | None, data: Path, database_url: str | None) -> Iterator[tuple[Engine, FarmRow]]:
    """The database and the farm that the options mean, as `opened_to_read`."""
    with opened_to_read(data, database_url) as engine:
        yield engine, _farm(engine, farm)


def _farm(engine: Engine, farm: str | None) -> FarmRow:
    with reading(engine) as connection:
        return find_farm(connection, farm)
