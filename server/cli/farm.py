"""Commands about a farm: making one, taking one over from a phone, its owner, pairing a phone."""

from __future__ import annotations

import sys
from typing import Annotated

import typer
from sqlalchemy import Engine

from server.auth.one_time_links import LINK_LIFE, owner_link
from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, FarmChoice, opened
from server.farms.pairing import CODE_LIFE, new_code
from server.farms.qr import pairing_link, pairing_qr_text
from server.farms.registry import chosen_farm, make_farm
from server.farms.tokens import for_people
from server.runtime.address import known_address, only_this_machine
from server.runtime.providers import real_providers
from shared_models.log.store import reading, writing

app = typer.Typer(help="Make a farm, take one over from a phone, or make its owner.")

_MINUTES = round(CODE_LIFE.total_seconds() / 60)


@app.command()
def new(
    name: Annotated[str, typer.Argument(metavar="NAME", help="What the farm is called.", show_default=False)],
    zone: Annotated[str, typer.Option(metavar="ZONE", help="The farm's time zone, such as America/New_York.")],
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Make a new farm, and print the link that makes its owner."""
    with opened(data, database_url, make=True) as engine:
        farm = make_farm(engine, name, zone, real_providers())
        typer.echo(f"{name} is made; its id is {farm}.")
        typer.echo(f"Who opens this link becomes its owner: {owner_url(engine, farm)}")
        typer.echo("Next: rowend serve, then open the link, then rowend pair for each phone.")


@app.command()
def adopt(data: Data = DEFAULT_DATA, database_url: DatabaseUrl = None) -> None:
    """Print a code with which a phone brings its farm here, such as after the old service was lost."""
    with opened(data, database_url, make=True) as engine:
        _print_code(engine, None, "Pair a phone that has all the farm's records; its next sync brings them here.")
        typer.echo("Then make the farm's owner here with: rowend farm owner")


@app.command()
def owner(farm: FarmChoice = None, data: Data = DEFAULT_DATA, database_url: DatabaseUrl = None) -> None:
    """Print a one-time link that makes an owner of the farm, as when a password is lost. The one before it ends."""
    with opened(data, database_url) as engine:
        with reading(engine) as connection:
            chosen = chosen_farm(connection, farm)
        typer.echo(owner_url(engine, chosen.id))
        typer.echo(f"Who opens it within {LINK_LIFE.days} days becomes an owner of {chosen.name or 'the farm'}.")


def pair(farm: FarmChoice = None, data: Data = DEFAULT_DATA, database_url: DatabaseUrl = None) -> None:
    """Print a one-time code, as a link and a QR code too, for a phone that is to join the farm."""
    with opened(data, database_url) as engine:
        with reading(engine) as connection:
            chosen = chosen_farm(connection, farm)
        joining = f"a phone that is to join {chosen.name or 'the farm'}"
        _print_code(engine, chosen.id, f"Scan this with {joining}, or open the link there, or type code and address.")


def owner_url(engine: Engine, farm: str) -> str:
    """A one-time link that makes an owner of the farm; the one before it ends."""
    with writing(engine, farm) as connection:
        return f"{known_address(connection)}/enter/{owner_link(connection, farm, real_providers())}"


def _print_code(engine: Engine, farm: str | None, what_for: str) -> None:
    with writing(engine, farm or "") as connection:
        code = new_code(connection, farm, real_providers())
        address, link = known_address(connection), pairing_link(connection, code)
    typer.echo(f"Code     {for_people(code)}   (good once, for {_MINUTES} minutes)")
    typer.echo(f"Address  {address}")
    typer.echo(f"Link     {link}")
    _draw(pairing_qr_text(link))
    typer.echo(what_for)
    if only_this_machine(address):
        typer.echo("Phones reach the service once it runs with: rowend serve --host 0.0.0.0")


def _draw(code: str) -> None:
    try:
        code.encode(sys.stdout.encoding)
    except UnicodeEncodeError:  # a terminal without block characters; the link says the same
        return
    typer.echo(code)
