"""`rowend farm …` and `rowend pair`: make a farm, its owner, its phones."""

from contextlib import suppress
from typing import Annotated

import typer
from sqlalchemy import Engine

from server.auth.one_time_links import LINK_LIFE, new_owner_link
from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, FarmChoice, opened, opened_farm
from server.farms.pairing import CODE_LIFE, new_code
from server.farms.qr import pairing_link, pairing_qr_text
from server.farms.registry import make_farm
from server.farms.tokens import format_code
from server.runtime.address import is_this_machine_only, known_address
from server.runtime.providers import real_providers
from shared_models.log.store import writing

app = typer.Typer(help="Make a farm or its owner; take a farm over.")

_MINUTES = round(CODE_LIFE.total_seconds() / 60)


@app.command()
def new(
    name: Annotated[str, typer.Argument(metavar="NAME", help="Name of the farm.", show_default=False)],
    zone: Annotated[str, typer.Option(metavar="ZONE", help="The farm's time zone, such as America/New_York.")],
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Make a farm and print its owner's link."""
    with opened(data, database_url, make=True) as engine:
        farm = make_farm(engine, name, zone, real_providers())
        typer.echo(f"Made {name}. Its id is {farm}.")
        typer.echo(f"Open this link to become its owner: {owner_url(engine, farm)}")
        typer.echo("Next: rowend serve (it prints a new link in place of this one), then rowend pair for each phone.")


@app.command()
def adopt(data: Data = DEFAULT_DATA, database_url: DatabaseUrl = None) -> None:
    """Take a farm over from a phone, after a service was lost."""
    with opened(data, database_url, make=True) as engine:
        _print_code(engine, None, "Pair a phone that has all of the farm's records. It brings them here when it syncs.")
        typer.echo("Then make an owner with: rowend farm owner")


@app.command()
def owner(farm: FarmChoice = None, data: Data = DEFAULT_DATA, database_url: DatabaseUrl = None) -> None:
    """Print a one-time link that makes an owner.

    Use it when a password is lost. The link printed before stops working.
    """
    with opened_farm(farm, data, database_url) as (engine, chosen):
        typer.echo(owner_url(engine, chosen.id))
        typer.echo(f"Open it within {LINK_LIFE.days} days to become an owner of {chosen.name or 'the farm'}.")


def pair(farm: FarmChoice = None, data: Data = DEFAULT_DATA, database_url: DatabaseUrl = None) -> None:
    """Print a one-time code for a phone, with a QR code."""
    with opened_farm(farm, data, database_url) as (engine, chosen):
        name = chosen.name or "the farm"
        _print_code(engine, chosen.id, f"To join {name}, scan this, open the link, or type the code and the address.")


def owner_url(engine: Engine, farm: str) -> str:
    """Make a one-time link for an owner of the farm; the link made before stops working."""
    with writing(engine, farm) as connection:
        return f"{known_address(connection)}/enter/{new_owner_link(connection, farm, real_providers())}"


def _print_code(engine: Engine, farm: str | None, next_step: str) -> None:
    with writing(engine, farm or "") as connection:
        code = new_code(connection, farm, real_providers())
        address, link = known_address(connection), pairing_link(connection, code)
    typer.echo(f"Code     {format_code(code)}   (works once, for {_MINUTES} minutes)")
    typer.echo(f"Address  {address}")
    typer.echo(f"Link     {link}")
    with suppress(UnicodeEncodeError):  # a terminal without block characters; the link says the same
        typer.echo(pairing_qr_text(link))
    typer.echo(next_step)
    if is_this_machine_only(address):
        typer.echo("To let phones reach the service, run: rowend serve --host 0.0.0.0 --tls")
