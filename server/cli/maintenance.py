"""`rowend verify` and `rowend rebuild`: check the records against the logs, and make them again."""

import typer
from sqlalchemy import Engine

from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, FarmChoice, opened
from server.farms.registry import FarmRow, all_farms, find_farm
from shared_models.log.projection import rebuild as rebuild_records
from shared_models.log.store import reading, writing
from shared_models.log.verify import verify as problems_of


def verify(farm: FarmChoice = None, data: Data = DEFAULT_DATA, database_url: DatabaseUrl = None) -> None:
    """Check every log and every record.

    Changes nothing. Prints each problem; with any, the exit status is 1.
    """
    failed = False
    with opened(data, database_url) as engine:
        for chosen in _chosen_farms(engine, farm):
            name = chosen.name or chosen.id
            with reading(engine) as connection:
                problems = list(problems_of(connection, chosen.id))
            for problem in problems:
                typer.echo(f"{name}: {problem}", err=True)
            if not problems:
                typer.echo(f"{name}: all logs and records are OK.")
            failed = failed or bool(problems)
    if failed:
        raise typer.Exit(1)


def rebuild(farm: FarmChoice = None, data: Data = DEFAULT_DATA, database_url: DatabaseUrl = None) -> None:
    """Make the records again from the logs.

    The logs are not changed.
    """
    with opened(data, database_url) as engine:
        for chosen in _chosen_farms(engine, farm):
            with writing(engine, chosen.id) as connection:
                rebuild_records(connection, chosen.id)
            typer.echo(f"{chosen.name or chosen.id}: made the records again from the logs.")


def _chosen_farms(engine: Engine, farm: str | None) -> list[FarmRow]:
    with reading(engine) as connection:
        return all_farms(connection) if farm is None else [find_farm(connection, farm)]
