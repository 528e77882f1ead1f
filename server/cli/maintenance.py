"""`rowend rebuild`: make the records again from the logs."""

import typer
from sqlalchemy import Engine

from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, FarmChoice, opened
from server.farms.registry import FarmRow, all_farms, find_farm
from shared_models.log.projection import rebuild as rebuild_records
from shared_models.log.store import reading, writing


def rebuild(farm: FarmChoice = None, data: Data = DEFAULT_DATA, database_url: DatabaseUrl = None) -> None:
    """Make the records again from the logs.

    The logs are not changed.
    """
    with opened(data, database_url) as engine:
        for chosen in chosen_farms(engine, farm):
            with writing(engine, chosen.id) as connection:
                rebuild_records(connection, chosen.id)
            typer.echo(f"{chosen.name or chosen.id}: made the records again from the logs.")


def chosen_farms(engine: Engine, farm: str | None) -> list[FarmRow]:
    """The farm that is named, or every farm."""
    with reading(engine) as connection:
        return all_farms(connection) if farm is None else [find_farm(connection, farm)]
