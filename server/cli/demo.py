"""The command that shows it all: a farm of our own invention, a day on its phone, and the day's report."""

from __future__ import annotations

import subprocess
import sys
from contextlib import suppress
from datetime import datetime, time
from pathlib import Path
from typing import Annotated

import typer
from sqlalchemy import Engine
from sqlmodel import Session

from server.app import create_app
from server.auth.accounts import add_account, owners_of
from server.auth.one_time_links import sign_in_link
from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, chosen_settings
from server.cli.serve import Port
from server.db.meta import note, noted
from server.farms.edits import edit
from server.farms.pairing import new_code
from server.farms.registry import every_farm, make_farm
from server.render.text import day_text
from server.runtime.address import DEFAULT_HOST, DEFAULT_PORT, address_of, note_address
from server.runtime.providers import real_providers
from server.runtime.uvicorn_server import listen, serving
from shared_models.core.vocabulary import Role
from shared_models.errors import WrongMoment, WrongUse
from shared_models.log.store import reading, writing
from shared_models.reports.common.farm import farm_facts
from shared_models.reports.sheets.day import day_sheet, planting_days

FARM, ZONE, OWNER = "Heronbrook Farm", "America/New_York", "Ines"
#: what the office knows of the farm: where it is (for the dry-down), and invented prices (for the costs)
TOLD = {
    "latitude": 42.6,
    "longitude": -73.7,
    "plug_tray_plants_per_person_hour": 450,
    "prices": {"hour": 19.0, "seed": 0.004, "chain_per_tray": 4.2, "mix_per_tray": 1.3, "plug": 0.12},
}
_NOTE, _DAY = "demo", "demo day"
_PLAYED = "played"


def demo(
    port: Port = DEFAULT_PORT,
    once: Annotated[
        bool, typer.Option("--once", help="Print the report and end, instead of going on serving.")
    ] = False,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Make a farm, play a day on its phone, print the day's report, and serve the office."""
    app = create_app(chosen_settings(data, database_url, make=True))
    engine: Engine = app.state.engine
    farm = _farm_for_the_demo(engine, data)
    with listen(DEFAULT_HOST, port) as listening:
        address = address_of(DEFAULT_HOST, listening.getsockname()[1])
        note_address(engine, address)
        with serving(app, listening) as service:
            if not _day_was_played(engine):
                _play_day(engine, farm, data / "phone", address)
            typer.echo(f"\n{_report(engine, farm)}\n")
            typer.echo(f"The office: {address}/enter/{_key_for(engine, farm)}")
            if not once:
                typer.echo(f"Serving at {address}. Stop with Ctrl-C.")
                with suppress(KeyboardInterrupt):
                    service.join()


def _report(engine: Engine, farm: str) -> str:
    """The last day's sheet as it stood that night."""
    with reading(engine) as connection, Session(connection) as session:
        facts = farm_facts(session, farm)
        day = max(planting_days(session, facts).open_rows, default=None)
        if day is None:
            return "No row is logged."
        night = datetime.combine(day, time.max, facts.zone)
        return day_text(day_sheet(session, farm, day, night))


def _farm_for_the_demo(engine: Engine, data: Path) -> str:
    with reading(engine) as connection:
        farm, others = noted(connection, _NOTE), every_farm(connection)
    if farm is not None:
        typer.echo(f"The demo's farm, {FARM}, is here already.")
        return farm
    if others:
        raise WrongUse(
            f"{data} holds the records of a farm that is no demo.",
            "Choose another directory with --data; the demo makes its own.",
        )
    farm = make_farm(engine, FARM, ZONE, real_providers())
    edit(engine, farm, "farm", farm, TOLD, None, real_providers().now())
    note(engine, _NOTE, farm)
    typer.echo(f"{FARM} is made.")
    return farm


def _key_for(engine: Engine, farm: str) -> str:
    """The key of a link that opens the demo's office with nothing typed."""
    around = real_providers()
    with writing(engine, farm) as connection:
        owner = next(iter(owners_of(connection, farm)), None)
        if owner is None:
            owner = add_account(connection, farm, Role.OWNER, OWNER, OWNER, None, around)
        return sign_in_link(connection, farm, owner, around)


def _day_was_played(engine: Engine) -> bool:
    with reading(engine) as connection:
        return noted(connection, _DAY) == _PLAYED


def _play_day(engine: Engine, farm: str, phone: Path, address: str) -> None:
    if phone.exists():
        raise WrongMoment(
            f"The demo was stopped in the middle of its day, and the phone in {phone} is not at its start any more.",
            "Run the demo with another --data directory.",
        )
    with writing(engine, farm) as connection:
        code = new_code(connection, farm, real_providers())
    typer.echo("A phone is paired, and goes through its day without a network.")
    day = [sys.executable, "-m", "mobile.demo.fieldday", "--data", str(phone), "--server", address, "--code", code]
    if subprocess.run(day, check=False).returncode != 0:  # noqa: S603 - our own program
        raise WrongMoment("The phone did not get through its day.", "The reason stands above.")
    note(engine, _DAY, _PLAYED)
