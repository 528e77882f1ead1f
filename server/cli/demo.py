"""`rowend demo`: an invented farm, a day on its phone, and the day's report."""

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
from server.auth.one_time_links import new_sign_in_link
from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, chosen_settings
from server.cli.serve import Port
from server.db.meta import get_meta, set_meta
from server.farms.edits import edit
from server.farms.pairing import new_code
from server.farms.registry import all_farms, make_farm
from server.render.text import day_text
from server.runtime.address import DEFAULT_HOST, DEFAULT_PORT, address_of, note_address
from server.runtime.providers import real_providers
from server.runtime.uvicorn_server import listen, serving
from shared_models.core.vocabulary import Role
from shared_models.errors import UsageError, WrongMoment
from shared_models.log.store import reading, writing
from shared_models.reports.common.context import ReportContext
from shared_models.reports.sheets.day import day_sheet, planting_days

FARM, ZONE, OWNER = "Heronbrook Farm", "America/New_York", "Ines"
#: where the farm is (for the dry-down), and invented prices (for the costs)
FARM_FIELDS = {
    "latitude": 42.6,
    "longitude": -73.7,
    "plug_tray_plants_per_person_hour": 450,
    "prices": {"hour": 19.0, "seed": 0.004, "chain_per_tray": 4.2, "mix_per_tray": 1.3, "plug": 0.12},
}
_NOTE, _DAY = "demo", "demo day"
_PLAYED = "played"


def demo(
    port: Port = DEFAULT_PORT,
    once: Annotated[bool, typer.Option("--once", help="Print the report and exit.")] = False,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Play a day on a pretend farm and serve its office."""
    app = create_app(chosen_settings(data, database_url, make=True))
    engine: Engine = app.state.engine
    farm = _farm_for_the_demo(engine, data)
    with listen(DEFAULT_HOST, port) as listening:
        address = address_of(DEFAULT_HOST, listening.getsockname()[1])
        note_address(engine, address)
        with serving(app, listening) as ended:
            if not _day_was_played(engine):
                _play_day(engine, farm, data / "phone", address)
            typer.echo(f"\n{_report(engine, farm)}\n")
            typer.echo(f"The office: {address}/enter/{_sign_in_key(engine, farm)}")
            if not once:
                typer.echo(f"Serving at {address}. Stop with Ctrl-C.")
                with suppress(KeyboardInterrupt):
                    ended.wait()


def _report(engine: Engine, farm: str) -> str:
    with reading(engine) as connection, Session(connection) as session:
        reports = ReportContext.of(session, farm)
        day = max(planting_days(reports).open_rows, default=None)
        if day is None:
            return "No row is logged."
        night = datetime.combine(day, time.max, reports.farm.zone)
        return day_text(day_sheet(reports, day, night))


def _farm_for_the_demo(engine: Engine, data: Path) -> str:
    with reading(engine) as connection:
        farm, others = get_meta(connection, _NOTE), all_farms(connection)
    if farm is not None:
        typer.echo(f"{FARM}, the demo's farm, is already here.")
        return farm
    if others:
        raise UsageError(
            f"{data} has the records of a real farm.",
            "Choose another folder for the demo with --data.",
        )
    farm = make_farm(engine, FARM, ZONE, real_providers())
    edit(engine, farm, "farm", farm, FARM_FIELDS, None, real_providers().now())
    set_meta(engine, _NOTE, farm)
    typer.echo(f"Made {FARM}.")
    return farm


def _sign_in_key(engine: Engine, farm: str) -> str:
    providers = real_providers()
    with writing(engine, farm) as connection:
        owner = next(iter(owners_of(connection, farm)), None)
        if owner is None:
            owner = add_account(connection, farm, Role.OWNER, OWNER, OWNER, None, providers)
        return new_sign_in_link(connection, farm, owner, providers)


def _day_was_played(engine: Engine) -> bool:
    with reading(engine) as connection:
        return get_meta(connection, _DAY) == _PLAYED


def _play_day(engine: Engine, farm: str, phone: Path, address: str) -> None:
    if phone.exists():
        raise WrongMoment(
            f"The demo was stopped in the middle of its day; the phone in {phone} has half of it.",
            "Run the demo in another folder with --data.",
        )
    with writing(engine, farm) as connection:
        code = new_code(connection, farm, real_providers())
    typer.echo("A phone is paired and starts its day, without a network.")
    day = [sys.executable, "-m", "mobile.demo.fieldday", "--data", str(phone), "--server", address, "--code", code]
    if subprocess.run(day, check=False).returncode != 0:  # noqa: S603 - our own program
        raise WrongMoment("The phone did not get through its day.", "The reason is printed above.")
    set_meta(engine, _DAY, _PLAYED)
