"""`rowend report …`: the reports as text, or as the JSON of the service."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Annotated

import typer
from pydantic import BaseModel
from sqlmodel import Session

from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, FarmChoice, opened_farm
from server.render.json.plan import PlanOut
from server.render.json.rates import RatesOut
from server.render.json.stands_and_soil import SoilOut, StandsOut
from server.render.plan_text import plan_text
from server.render.text import rates_text, soil_text, stands_text
from shared_models.errors import BadQuantity, UnknownRecord, UsageError
from shared_models.log.store import reading
from shared_models.reports.common import find
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.filters import Filters
from shared_models.reports.pace.rates import By, rates
from shared_models.reports.plan.sheet import plan
from shared_models.reports.soil.beds import soil
from shared_models.reports.stand.stands import stands

app = typer.Typer(help="Print planting rates, stands, soil or the plan.", no_args_is_help=True)

_Day = Annotated[str | None, typer.Option(metavar="DATE", help="One day on the farm's clock, such as 2026-05-14.")]
_Since = Annotated[str | None, typer.Option(metavar="DATE", help="From this day on.")]
_Until = Annotated[str | None, typer.Option(metavar="DATE", help="Up to this day, included.")]
_Bed = Annotated[str | None, typer.Option(metavar="BED", help="Name or id of a bed.")]
_Planting = Annotated[str | None, typer.Option(metavar="PLANTING", help="Id of a planting, or the code of its sowing.")]
_Crop = Annotated[str | None, typer.Option(metavar="CROP", help="A crop, as named in its sowings.")]
_Json = Annotated[bool, typer.Option("--json", help="Print JSON, not rounded.")]


@app.command("rates")
def rates_command(
    by: Annotated[By, typer.Option(help="One line for each of these.")] = By.BED,
    day: _Day = None,
    since: _Since = None,
    until: _Until = None,
    bed: _Bed = None,
    planting: _Planting = None,
    crop: _Crop = None,
    as_json: _Json = False,
    farm: FarmChoice = None,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Row feet and plants per hour.

    Working and effective rates, per person too, and field efficiency.
    """
    with _reports(farm, data, database_url) as reports:
        report = rates(reports, by, _filters(reports, day, since, until, bed, planting, crop))
    _print(RatesOut.model_validate(report) if as_json else rates_text(report, reports.farm))


@app.command("stands")
def stands_command(
    day: _Day = None,
    since: _Since = None,
    until: _Until = None,
    bed: _Bed = None,
    planting: _Planting = None,
    crop: _Crop = None,
    as_json: _Json = False,
    farm: FarmChoice = None,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Stand by planting, and which rows to fill."""
    with _reports(farm, data, database_url) as reports:
        report = stands(reports, _filters(reports, day, since, until, bed, planting, crop))
    _print(StandsOut.model_validate(report) if as_json else stands_text(report, reports.farm))


@app.command("soil")
def soil_command(
    day: _Day = None,
    since: _Since = None,
    until: _Until = None,
    bed: _Bed = None,
    as_json: _Json = False,
    farm: FarmChoice = None,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """Which beds are ready to plant, and why not."""
    with _reports(farm, data, database_url) as reports:
        filters = _filters(reports, day, since, until, bed)
        report = soil(reports, datetime.now(UTC), filters)
    _print(SoilOut.model_validate(report) if as_json else soil_text(report, reports.farm))


@app.command("plan")
def plan_command(
    day: _Day = None,
    since: _Since = None,
    until: _Until = None,
    bed: _Bed = None,
    planting: _Planting = None,
    crop: _Crop = None,
    as_json: _Json = False,
    farm: FarmChoice = None,
    data: Data = DEFAULT_DATA,
    database_url: DatabaseUrl = None,
) -> None:
    """What to sow and plant when, and problems."""
    with _reports(farm, data, database_url) as reports:
        filters = _filters(reports, day, since, until, bed, planting, crop)
        sheet = plan(reports, reports.farm.day(datetime.now(UTC)), filters)
    _print(PlanOut.of(sheet) if as_json else plan_text(sheet, reports.farm))


@contextmanager
def _reports(farm: str | None, data: Path, database_url: str | None) -> Iterator[ReportContext]:
    with opened_farm(farm, data, database_url) as (engine, chosen), reading(engine) as connection:
        yield ReportContext.of(Session(connection), chosen.id)


def _filters(
    reports: ReportContext,
    day: str | None,
    since: str | None,
    until: str | None,
    bed: str | None,
    planting: str | None = None,
    crop: str | None = None,
) -> Filters:
    try:
        return Filters(
            _date("--day", day),
            _date("--since", since),
            _date("--until", until),
            find.find_bed(reports, bed) if bed else None,
            find.find_planting(reports, planting) if planting else None,
            crop,
        )
    except BadQuantity as problem:
        raise UsageError(f"--{problem.field} {problem.value} must be {problem.bound}.", "") from problem
    except UnknownRecord as problem:
        raise UsageError(
            f"No {problem.kind}, or more than one, is called {problem.record!r}.", "Use its full name or its id."
        ) from problem


def _date(option: str, text: str | None) -> date | None:
    try:
        return date.fromisoformat(text) if text else None
    except ValueError as problem:
        raise UsageError(f"{option} {text} is not a date.", "Write it like 2026-05-14.") from problem


def _print(report: BaseModel | str) -> None:
    typer.echo(report if isinstance(report, str) else report.model_dump_json(indent=2))
