"""The command that serves."""

from __future__ import annotations

from typing import Annotated

import typer

from server.app import create_app
from server.commands.options import DEFAULT_DATA, Data, DatabaseUrl, chosen_settings
from server.farms import every_farm
from server.running import listen, serve_until_stopped
from server.whereabouts import DEFAULT_HOST, DEFAULT_PORT, address_of, note_address, only_this_machine
from shared_models.store import reading

Port = Annotated[int, typer.Option(min=0, max=65535, metavar="N", help="Port to listen on; 0 is any free one.")]


def serve(
    host: Annotated[
        str, typer.Option(metavar="HOST", help="Address to listen on; 0.0.0.0 lets phones on the network in.")
    ] = DEFAULT_HOST,
    port: Port = DEFAULT_PORT,
    address: Annotated[
        str | None,
        typer.Option(metavar="URL", help="Address to tell people, when it is another, such as https://farm.example."),
    ] = None,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Run the service until Ctrl-C."""
    app = create_app(chosen_settings(data, database_url, make=True))
    with listen(host, port) as listening:
        told = address or address_of(host, listening.getsockname()[1])
        note_address(app.state.engine, told.rstrip("/"))
        typer.echo(f"Serving at {told}. Stop with Ctrl-C.")
        if only_this_machine(told):
            typer.echo("Only this machine can reach it. For phones on the network: rowend serve --host 0.0.0.0")
        with reading(app.state.engine) as connection:
            if not every_farm(connection):
                typer.echo("There is no farm here yet. Make one with: rowend farm new NAME --zone ZONE")
        serve_until_stopped(app, listening)
