"""`rowend serve`: run the service."""

from contextlib import ExitStack
from threading import Thread
from typing import Annotated

import typer
from sqlalchemy import Engine

from server.app import create_app
from server.auth.accounts import owners_of
from server.cli.farm import owner_url
from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, chosen_settings
from server.farms.registry import all_farms
from server.office.reports.charts import base as charts
from server.runtime.address import DEFAULT_HOST, DEFAULT_PORT, address_of, is_this_machine_only, note_address
from server.runtime.certificate import Certificate, certificate_in
from server.runtime.mdns import announced, reachable_at
from server.runtime.uvicorn_server import check_proxies, listen, serve_until_stopped
from shared_models.errors import UsageError
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
        typer.Option(metavar="URL", help="Address for people and phones, if another, such as https://farm.example."),
    ] = None,
    proxy: Annotated[
        list[str] | None,
        typer.Option(
            metavar="IP",
            help="Address or network of the proxy in front. Only its X-Forwarded-For and X-Forwarded-Proto count.",
            show_default=False,
        ),
    ] = None,
    tls: Annotated[bool, typer.Option("--tls", help="Encrypt, with the service's own certificate.")] = False,
    announce: Annotated[
        bool | None,
        typer.Option(
            "--announce/--no-announce",
            help="Let paired phones find the service by mDNS.  [default: with --tls]",
            show_default=False,
        ),
    ] = None,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Run the service until Ctrl-C."""
    if announce and not tls:
        raise UsageError("Phones trust a service they find only by its certificate.", "Add --tls to --announce.")
    proxies = proxy or []
    check_proxies(proxies)
    if proxies and not address:
        raise UsageError(
            "People and phones come by the proxy's address.", "Name it with --address https://farm.example."
        )
    if proxies and tls:
        raise UsageError(
            "Phones would wait for the service's certificate; the proxy shows another.", "Leave out --tls."
        )
    app = create_app(chosen_settings(data, database_url, make=True))
    certificate = certificate_in(data, app.state.providers.now()) if tls else None
    with listen(host, port) as listening, ExitStack() as until_stopped:
        bound_host, port = listening.getsockname()[:2]
        address = (address or address_of(host, port, tls=tls)).rstrip("/")
        note_address(app.state.engine, address, certificate.pin if certificate else None)
        typer.echo(f"Serving at {address}. Stop with Ctrl-C.")
        print_next_steps(app.state.engine, address)
        Thread(target=charts.wake, name="charts", daemon=True).start()
        if certificate and announce is not False:
            _announce(until_stopped, bound_host, port, certificate)
        serve_until_stopped(app, listening, certificate.file if certificate else None, proxies)


def print_next_steps(engine: Engine, address: str) -> None:
    """Print what is left to do: let phones in, make a farm, become its owner."""
    if is_this_machine_only(address):
        typer.echo("Only this machine can reach it. To let phones in, run: rowend serve --host 0.0.0.0 --tls")
    with reading(engine) as connection:
        farms = all_farms(connection)
        without_owner = [farm for farm in farms if not owners_of(connection, farm.id)]
    if not farms:
        typer.echo("There is no farm yet. Make one with: rowend farm new NAME --zone ZONE")
    for farm in without_owner:
        name = farm.name or "The farm"
        typer.echo(f"{name} has no owner yet. Open this link to become its owner: {owner_url(engine, farm.id)}")


def _announce(until_stopped: ExitStack, listens_on: str, port: int, certificate: Certificate) -> None:
    addresses = reachable_at(listens_on)
    problem = until_stopped.enter_context(announced(addresses, port, certificate.pin)) if addresses else ""
    if problem:
        typer.echo(f"Phones cannot find it by mDNS ({problem}); they use its address.")
