"""`rowend verify`: check the records here, a file from anywhere, or the digest on a printed record."""

from pathlib import Path
from typing import Annotated

import typer

from server.cli.maintenance import chosen_farms
from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, FarmChoice, opened
from server.exports.proof.files import check_file
from shared_models.log.store import reading
from shared_models.log.verify import verify as problems_of

_OK = "Everything in this file is proven."
_WHOSE = (
    "A signature shows which device wrote a line, not whose device it is. Compare the ids with those on a printed "
    "record, or in the office under Log."
)


def verify(
    file: Annotated[
        Path | None,
        typer.Argument(
            metavar="FILE",
            help="Check only this file, without any data folder: records.json of an export, a planting record, a "
            "bundle or a backup.",
            show_default=False,
        ),
    ] = None,
    farm: FarmChoice = None,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Check every log and every record.

    Changes nothing. Prints each problem; with any, or with anything that is not proven, the exit status is 1.
    """
    good = _check_here(farm, data, database_url) if file is None else _check_file(file)
    if not good:
        raise typer.Exit(1)


def _check_here(farm: str | None, data: Path, database_url: str | None) -> bool:
    good = True
    with opened(data, database_url) as engine:
        for chosen in chosen_farms(engine, farm):
            name = chosen.name or chosen.id
            with reading(engine) as connection:
                problems = list(problems_of(connection, chosen.id))
            for problem in problems:
                typer.echo(f"{name}: {problem}", err=True)
            if not problems:
                typer.echo(f"{name}: all logs and records are OK.")
            good = good and not problems
    return good


def _check_file(file: Path) -> bool:
    kind, found = check_file(file)
    typer.echo(f"{file} is {kind}.")
    for sentence in found.proven:
        typer.echo(sentence)
    if found.not_proven:
        typer.echo("Not proven:", err=True)
    for sentence in found.not_proven:
        typer.echo(f"  {sentence}", err=True)
    if found.wrong:
        typer.echo("Wrong:", err=True)
    for sentence in found.wrong:
        typer.echo(f"  {sentence}", err=True)
    if found.is_good:
        typer.echo(_OK)
    typer.echo(_WHOSE)
    return found.is_good
