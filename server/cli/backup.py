"""Commands that copy the service's database while it serves, and put a copy back."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Annotated

import typer

from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, opened
from server.exports.backup.sqlite_copy import (
    Held,
    broken_logs,
    check_is_ours,
    copy_to,
    held_in,
    lines_only_in,
    looking_into,
    put_in_place,
)
from server.runtime.providers import real_providers
from server.runtime.settings import DATABASE_FILE
from shared_models.errors import WrongMoment, WrongUse

_OWN_TOOLS = "PostgreSQL has its own tools for this: pg_dump saves, pg_restore puts back."


def backup(
    to: Annotated[Path, typer.Option(metavar="FILE", help="Where the copy goes.", show_default=False)],
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Copy the whole database into one file; the service may go on meanwhile."""
    _only_sqlite(database_url)
    if to.exists() and not force:
        raise WrongUse(f"{to} is there already.", "Choose another name, or write over it with --force.")
    with opened(data, None):  # a database is there, and open, so that its write-ahead log can be read
        copy_to(data / DATABASE_FILE, to)
    with looking_into(to) as copy:
        typer.echo(f"Saved to {to}: {_told(held_in(copy))}.")


def restore(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A file that rowend backup has written.")],
    force: Annotated[
        bool, typer.Option("--force", help="Restore although the database here holds what the backup lacks.")
    ] = False,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Put a backup in the place of the database. What stood there is kept beside it.

    Phones bring back at their next sync what they hold and the backup lacks.
    """
    _only_sqlite(database_url)
    check_is_ours(file)
    database, copy = data / DATABASE_FILE, data / f"restored-{DATABASE_FILE}"
    try:
        copy_to(file, copy)
        held = _check(copy, file)
        if database.exists() and not force:
            _refuse_to_lose(copy, database)
        kept = put_in_place(copy, database, real_providers().now())
    finally:
        copy.unlink(missing_ok=True)
    typer.echo(f"Restored from {file}: {_told(held)}.")
    if kept:
        typer.echo(f"What stood there before is kept in {kept}.")


def _only_sqlite(database_url: str | None) -> None:
    if database_url is None:
        return
    if not database_url.startswith("sqlite"):
        raise WrongUse("This command is for the SQLite file in --data DIR.", _OWN_TOOLS)
    raise WrongUse("This command takes no database address.", "Name the directory of the file with --data DIR.")


def _check(copy: Path, file: Path) -> list[Held]:
    with looking_into(copy) as connection:
        broken = broken_logs(connection)
        if broken:
            raise WrongMoment(f"{file} is damaged: {'; '.join(broken)}.", "Use another backup; nothing was changed.")
        return held_in(connection)


def _refuse_to_lose(copy: Path, database: Path) -> None:
    with_force = "With --force the backup is restored all the same, and what stands there now is kept beside it."
    try:
        with looking_into(database) as now, looking_into(copy) as then:
            lost = lines_only_in(now, then)
    except WrongMoment as problem:
        raise WrongMoment(f"{database} cannot be read.", with_force) from problem
    if lost:
        raise WrongMoment(f"{database} holds {lost:,} lines that the backup lacks.", with_force)


def _told(held: Iterable[Held]) -> str:
    told = [f"{farm.name} with {farm.lines:,} lines in {farm.logs} logs" for farm in held]
    return ", ".join(told) or "no farm"
