"""`rowend backup` and `rowend restore`: copy the database while it serves, and put a copy back."""

from collections.abc import Iterable
from pathlib import Path
from typing import Annotated

import typer

from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, opened_to_read
from server.exports.backup.sqlite_copy import (
    FarmContents,
    check_is_backup,
    copy_database,
    farm_contents,
    lines_only_in,
    open_read_only,
    replace_database,
)
from server.farms.health import copy_problems
from server.runtime.providers import real_providers
from server.runtime.settings import DATABASE_FILE
from shared_models.errors import UsageError, WrongMoment
from shared_models.log.private_files import private_folder
from shared_models.log.store import reading

_NO_OVERWRITE = "Keep the older backups until then."
_WITH_DAMAGE = (
    "Nothing was changed. Use another backup, or restore this one with --damaged: damaged lines come back with the "
    "next sync of a phone that has them."
)
_OWN_TOOLS = "For PostgreSQL use pg_dump and pg_restore."


def backup(
    to: Annotated[Path, typer.Option(metavar="FILE", help="File to write.", show_default=False)],
    force: Annotated[bool, typer.Option("--force", help="Overwrite the file.")] = False,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Copy the database into one file, while it serves, and check the copy.

    A damaged database is copied too; then the problems are printed, and the exit status is 1.
    """
    _only_sqlite(database_url)
    if to.exists() and not force:
        raise UsageError(f"{to} already exists.", "Choose another name, or overwrite it with --force.")
    with opened_to_read(data, None) as engine:  # open, so that its write-ahead log can be read
        with reading(engine) as connection:
            before = farm_contents(connection)
        copy_database(Path(str(engine.url.database)), to)
        held, problems = _check(to)
        problems += _lacking(before, held)
        if problems:
            with reading(engine) as connection:
                _report_damage(to, problems, copy_problems(connection))
            raise typer.Exit(1)
    typer.echo(f"Saved to {to}: {_list(held)}.")


def _lacking(before: Iterable[FarmContents], held: Iterable[FarmContents]) -> list[str]:
    lines = {farm.farm: farm.lines for farm in held}
    return [f"{farm.name}: lines are missing" for farm in before if lines.get(farm.farm, 0) < farm.lines]


def _report_damage(copy: Path, problems: Iterable[str], here: Iterable[str]) -> None:
    if here:
        advice = "Sync a phone that has the damaged lines, then back up again. " + _NO_OVERWRITE
        typer.echo(f"The database is damaged, and so is its copy, {copy}:", err=True)
    else:
        advice = "The database itself has no damage. Back up to another disk."
        typer.echo(f"{copy} was written, but is damaged:", err=True)
    for problem in problems:
        typer.echo(f"  {problem}", err=True)
    typer.echo(advice, err=True)


def restore(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="File from rowend backup.")],
    force: Annotated[bool, typer.Option("--force", help="Restore even if the backup lacks some entries.")] = False,
    damaged: Annotated[bool, typer.Option("--damaged", help="Restore even if the backup is damaged.")] = False,
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
        held, problems = _check(copy)
        if problems and not damaged:
            raise WrongMoment(f"{file} is damaged: {'; '.join(problems)}.", _WITH_DAMAGE)
        if database.exists() and not force:
            _refuse_to_lose(copy, database)
        kept = replace_database(copy, database, real_providers().now())
    finally:
        copy.unlink(missing_ok=True)
    for problem in problems:
        typer.echo(f"Damaged: {problem}", err=True)
    if problems:
        typer.echo("Damaged lines come back with the next sync of a phone that has them.", err=True)
    typer.echo(f"Restored from {file}: {_list(held)}.")
    if kept:
        typer.echo(f"The old database is kept in {kept}.")


def _only_sqlite(database_url: str | None) -> None:
    if database_url is None:
        return
    if not database_url.startswith("sqlite"):
        raise UsageError("This command works on the SQLite file in --data DIR.", _OWN_TOOLS)
    raise UsageError("This command takes no --database-url.", "Name the folder with --data DIR.")


def _check(copy: Path) -> tuple[list[FarmContents], list[str]]:
    """What a copy holds, and what is wrong with it."""
    with open_read_only(copy) as connection:
        return farm_contents(connection), copy_problems(connection)


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
