"""The command that serves."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from threading import Thread
from typing import Annotated

import typer
from fastapi import FastAPI
from sqlalchemy import Engine

from server.app import create_app
from server.auth.accounts import owners_of
from server.cli.farm import owner_url
from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, chosen_settings, make_directory
from server.farms.registry import every_farm
from server.office.reports.charts import base as charts
from server.runtime.address import DEFAULT_HOST, DEFAULT_PORT, address_of, note_address, only_this_machine
from server.runtime.certificate import Certificate, certificate_in
from server.runtime.mdns import announced, reachable_at
from server.runtime.uvicorn_server import listen, serve_until_stopped
from shared_models.errors import WrongUse
from shared_models.log.store import reading

Port = Annotated[
    int, typer.Option(envvar="ROWEND_PORT", min=0, max=65535, metavar="N", help="Port to listen on; 0 is any free one.")
]


def serve(
    host: Annotated[
        str, typer.Option(metavar="HOST", help="Address to listen on; 0.0.0.0 lets phones on the network in.")
    ] = DEFAULT_HOST,
    port: Port = DEFAULT_PORT,
    address: Annotated[
        str | None,
        typer.Option(metavar="URL", help="Address to tell people, when it is another, such as https://farm.example."),
    ] = None,
    tls: Annotated[
        bool, typer.Option("--tls", help="Encrypt, with a certificate of its own that paired phones know.")
    ] = False,
    announce: Annotated[
        bool | None,
        typer.Option(
            "--announce/--no-announce",
            help="Let paired phones on the network find it (mDNS).  [default: with --tls]",
            show_default=False,
        ),
    ] = None,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Run the service until Ctrl-C."""
    if announce and not tls:
        raise WrongUse("Phones use a service they find only when it proves who it is.", "Add --tls to --announce.")
    app = create_app(chosen_settings(data, database_url, make=True))
    certificate = _certificate(app, data) if tls else None
    with listen(host, port) as listening, ExitStack() as until_stopped:
        there, port = listening.getsockname()[:2]
        told = (address or address_of(host, port, tls=tls)).rstrip("/")
        note_address(app.state.engine, told, certificate.pin if certificate else None)
        typer.echo(f"Serving at {told}. Stop with Ctrl-C.")
        say_what_is_missing(app, told)
        Thread(target=charts.wake, name="charts", daemon=True).start()
        if certificate and announce is not False:
            _announce(until_stopped, there, port, certificate)
        serve_until_stopped(app, listening, certificate.file if certificate else None)


def _certificate(app: FastAPI, data: Path) -> Certificate:
    make_directory(data)
    return certificate_in(data, app.state.providers.now())


def say_what_is_missing(app: FastAPI, told: str) -> None:
    """Say what somebody has to do before the service is of use: let phones reach it, make a farm, be its owner."""
    if only_this_machine(told):
        typer.echo("Only this machine can reach it. For phones on the network: rowend serve --host 0.0.0.0")
    engine: Engine = app.state.engine
    with reading(engine) as connection:
        farms = every_farm(connection)
        without_owner = [farm for farm in farms if not owners_of(connection, farm.id)]
    if not farms:
        typer.echo("There is no farm here yet. Make one with: rowend farm new NAME --zone ZONE")
    for farm in without_owner:
        name = farm.name or "The farm"
        typer.echo(f"{name} has no owner yet. Who opens this link becomes its owner: {owner_url(engine, farm.id)}")


def _announce(until_stopped: ExitStack, listens_on: str, port: int, certificate: Certificate) -> None:
    addresses = reachable_at(listens_on)
    problem = until_stopped.enter_context(announced(addresses, port, certificate.pin)) if addresses else ""
    if problem:
        typer.echo(f"Phones cannot find it by themselves ({problem}); they reach it at its address.")
