"""Commands about a farm: making one, taking one over from a phone, its office link, pairing a phone."""

from __future__ import annotations

from typing import Annotated

import typer
from sqlalchemy import Engine

from server.commands.options import DEFAULT_DATA, Data, DatabaseUrl, FarmChoice, opened
from server.farms import chosen_farm, make_farm
from server.keys import for_people
from server.office_keys import fresh_key
from server.pairing import CODE_LIFE, new_code
from server.surroundings import real_surroundings
from server.whereabouts import known_address, only_this_machine
from shared_models.store import reading, writing

app = typer.Typer(help="Make a farm, take one over from a phone, or open its office.")

_MINUTES = round(CODE_LIFE.total_seconds() / 60)


@app.command()
def new(
    name: Annotated[str, typer.Argument(metavar="NAME", help="What the farm is called.", show_default=False)],
    zone: Annotated[str, typer.Option(metavar="ZONE", help="The farm's time zone, such as America/New_York.")],
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Make a new farm, and print the link to its office."""
    with opened(data, database_url, make=True) as engine:
        farm = make_farm(engine, name, zone, real_surroundings())
        typer.echo(f"{name} is made; its id is {farm}.")
        typer.echo(f"Its office: {office_link(engine, farm)}")
        typer.echo("Next: rowend serve, then rowend pair for each phone.")


@app.command()
def adopt(data: Data = DEFAULT_DATA, database_url: DatabaseUrl = None) -> None:
    """Print a code with which a phone brings its farm here, such as after the old service was lost."""
    with opened(data, database_url, make=True) as engine:
        _print_code(engine, None, "Pair a phone that has all the farm's records; its next sync brings them here.")


@app.command()
def link(farm: FarmChoice = None, data: Data = DEFAULT_DATA, database_url: DatabaseUrl = None) -> None:
    """Print a fresh link to the farm's office. The link before it ends."""
    with opened(data, database_url) as engine:
        with reading(engine) as connection:
            chosen = chosen_farm(connection, farm).id
        typer.echo(office_link(engine, chosen))


def pair(farm: FarmChoice = None, data: Data = DEFAULT_DATA, database_url: DatabaseUrl = None) -> None:
    """Print a one-time code and the address to type into a phone that is to join the farm."""
    with opened(data, database_url) as engine:
        with reading(engine) as connection:
            chosen = chosen_farm(connection, farm)
        _print_code(engine, chosen.id, f"Type both into a phone that is to join {chosen.name or 'the farm'}.")


def office_link(engine: Engine, farm: str) -> str:
    """A fresh link to the farm's office; the one before it ends."""
    with writing(engine, farm) as connection:
        return f"{known_address(connection)}/enter/{fresh_key(connection, farm, real_surroundings().token())}"


def _print_code(engine: Engine, farm: str | None, what_for: str) -> None:
    with writing(engine, farm or "") as connection:
        code = new_code(connection, farm, real_surroundings())
        address = known_address(connection)
    typer.echo(f"Code     {for_people(code)}   (good once, for {_MINUTES} minutes)")
    typer.echo(f"Address  {address}")
    typer.echo(what_for)
    if only_this_machine(address):
        typer.echo("Phones reach the service once it runs with: rowend serve --host 0.0.0.0")
