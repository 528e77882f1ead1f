"""Commands that look after the records: check them all, and fold them again from the logs."""

from __future__ import annotations

import typer
from sqlalchemy import Engine

from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, FarmChoice, opened
from server.farms.registry import KnownFarm, chosen_farm, every_farm
from shared_models.log.projection import rebuild as fold_again
from shared_models.log.store import reading, writing
from shared_models.log.verify import verify as troubles_of


def verify(farm: FarmChoice = None, data: Data = DEFAULT_DATA, database_url: DatabaseUrl = None) -> None:
    """Check every log and every record of all farms (or of one).

    Nothing is changed. What is wrong is named, and then the exit status is 1.
    """
    with opened(data, database_url) as engine:
        troubled = [chosen for chosen in _meant(engine, farm) if not _whole(engine, chosen)]
    if troubled:
        raise typer.Exit(1)


def _whole(engine: Engine, farm: KnownFarm) -> bool:
    name, whole = farm.name or farm.id, True
    with reading(engine) as connection:
        for trouble in troubles_of(connection, farm.id):
            typer.echo(f"{name}: {trouble}", err=True)
            whole = False
    if whole:
        typer.echo(f"{name}: every log is whole, and every record is what its log says.")
    return whole


def rebuild(farm: FarmChoice = None, data: Data = DEFAULT_DATA, database_url: DatabaseUrl = None) -> None:
    """Make the records of all farms (or of one) again from their logs. No line of a log is touched."""
    with opened(data, database_url) as engine:
        for chosen in _meant(engine, farm):
            with writing(engine, chosen.id) as connection:
                fold_again(connection, chosen.id)
            typer.echo(f"{chosen.name or chosen.id}: its records are made again from its logs.")


def _meant(engine: Engine, farm: str | None) -> list[KnownFarm]:
    with reading(engine) as connection:
        return every_farm(connection) if farm is None else [chosen_farm(connection, farm)]
