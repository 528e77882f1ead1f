"""What all commands have in common: which database, which farm."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer
from sqlalchemy import Engine
from sqlalchemy.exc import ArgumentError, NoSuchModuleError

from server.db.database import open_database
from server.runtime.settings import DATABASE_FILE, Settings
from shared_models.errors import StoreTrouble, WrongUse

DEFAULT_DATA = Path("data")

Data = Annotated[Path, typer.Option(envvar="ROWEND_DATA", metavar="DIR", help="Directory of the service's database.")]
DatabaseUrl = Annotated[
    str | None,
    typer.Option(
        envvar="ROWEND_DATABASE_URL",
        metavar="URL",
        help="Database to use instead of a file in DIR, such as postgresql+psycopg://USER@HOST/NAME.",
    ),
]
FarmChoice = Annotated[
    str | None, typer.Option("--farm", metavar="FARM", help="Name or id of the farm; needed when there are several.")
]


def chosen_settings(data: Path, database_url: str | None, *, make: bool) -> Settings:
    """The settings that the options mean; the directory is made when `make` says so.

    Raises:
        WrongUse: when there is nothing yet in the directory.
        StoreTrouble: when the directory cannot be made.
    """
    if database_url is not None:
        return Settings(database_url)
    if make:
        make_directory(data)
    elif not (data / DATABASE_FILE).exists():
        raise WrongUse(
            f"There is no farm in {data} yet.", f"Make one with: rowend farm new NAME --zone ZONE --data {data}"
        )
    return Settings.in_directory(data)


def make_directory(data: Path) -> None:
    """Make the service's directory.

    Raises:
        StoreTrouble: when it cannot be made.
    """
    try:
        data.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise StoreTrouble(f"the directory {data} cannot be made ({problem.strerror})") from problem


@contextmanager
def opened(data: Path, database_url: str | None, *, make: bool = False) -> Iterator[Engine]:
    """The database that the options mean, open until the block ends.

    Raises:
        WrongUse: when there is none yet (unless `make`), or the address is none.
        StoreTrouble: when it cannot be opened.
    """
    engine = _open(chosen_settings(data, database_url, make=make))
    try:
        yield engine
    finally:
        engine.dispose()


def _open(settings: Settings) -> Engine:
    try:
        return open_database(settings.database_url)
    except (ArgumentError, NoSuchModuleError) as problem:
        raise WrongUse(
            "The database address could not be understood.",
            "Write it like postgresql+psycopg://USER@HOST/NAME, or leave it out and use --data DIR.",
        ) from problem
