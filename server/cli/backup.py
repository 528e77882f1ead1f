"""`rowend backup` and `rowend restore`: copy the database while it serves, and put a copy back."""

from collections.abc import Iterable
from pathlib import Path
from typing import Annotated

import typer

from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, opened
from server.exports.backup.sqlite_copy import (
    FarmContents,
    broken_logs,
    check_is_backup,
    copy_database,
    farm_contents,
    lines_only_in,
    open_read_only,
    replace_database,
)
from server.runtime.providers import real_providers
from server.runtime.settings import DATABASE_FILE
from shared_models.errors import UsageError, WrongMoment
from shared_models.log.private_files import private_folder

_OWN_TOOLS = "For PostgreSQL use pg_dump and pg_restore."


def backup(
    to: Annotated[Path, typer.Option(metavar="FILE", help="File to write.", show_default=False)],
    force: Annotated[bool, typer.Option("--force", help="Overwrite the file.")] = False,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Copy the database into one file, while it serves."""
    _only_sqlite(database_url)
    if to.exists() and not force:
        raise UsageError(f"{to} already exists.", "Choose another name, or overwrite it with --force.")
    with opened(data, None):  # open, so that its write-ahead log can be read
        copy_database(data / DATABASE_FILE, to)
    with open_read_only(to) as copy:
        typer.echo(f"Saved to {to}: {_list(farm_contents(copy))}.")


def restore(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="File from rowend backup.")],
    force: Annotated[bool, typer.Option("--force", help="Restore even if the backup lacks some entries.")] = False,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Put a backup in place of the database.

    The old database is kept beside it. At their next sync, phones bring back what the backup lacks.
    """
    _only_sqlite(database_url)
    check_is_backup(file)
    private_folder(data)
    database, copy = data / DATABASE_FILE, data / f"restored-{DATABASE_FILE}"
    try:
        copy_database(file, copy)
        held = _check(copy, file)
        if database.exists() and not force:
            _refuse_to_lose(copy, database)
        kept = replace_database(copy, database, real_providers().now())
    finally:
        copy.unlink(missing_ok=True)
    typer.echo(f"Restored from {file}: {_list(held)}.")
    if kept:
        typer.echo(f"The old database is kept in {kept}.")


def _only_sqlite(database_url: str | None) -> None:
    if database_url is None:
        return
    if not database_url.startswith("sqlite"):
        raise UsageError("This command works on the SQLite file in --data DIR.", _OWN_TOOLS)
    raise UsageError("This command takes no --database-url.", "Name the folder with --data DIR.")


def _check(copy: Path, file: Path) -> list[FarmContents]:
    with open_read_only(copy) as connection:
        broken = broken_logs(connection)
        if broken:
            raise WrongMoment(f"{file} is damaged: {'; '.join(broken)}.", "Use another backup. Nothing was changed.")
        return farm_contents(connection)


def _refuse_to_lose(copy: Path, database: Path) -> None:
    with_force = "Add --force to restore anyway. The old database is kept beside it."
    try:
        with open_read_only(database) as now, open_read_only(copy) as then:
            lost = lines_only_in(now, then)
    except WrongMoment as problem:
        raise WrongMoment(f"{database} cannot be read.", with_force) from problem
    if lost:
        raise WrongMoment(f"The backup lacks {lost:,} of the lines in {database}.", with_force)


def _list(held: Iterable[FarmContents]) -> str:
    return ", ".join(f"{farm.name} with {farm.lines:,} lines in {farm.logs} logs" for farm in held) or "no farm"
