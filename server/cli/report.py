"""`rowend report …`: the reports as text, or as the JSON of the service."""

from collections.abc import Callable
from datetime import UTC, date, datetime
from inspect import signature
from typing import Annotated

import typer
from pydantic import BaseModel
from sqlmodel import Session

from server.cli.options import DEFAULT_DATA, Data, DatabaseUrl, FarmChoice, farm_to_read
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

_By = Annotated[By, typer.Option(help="One line for each of these.")]
_Day = Annotated[str | None, typer.Option(metavar="DATE", help="One day on the farm's clock, such as 2026-05-14.")]
_Since = Annotated[str | None, typer.Option(metavar="DATE", help="From this day on.")]
_Until = Annotated[str | None, typer.Option(metavar="DATE", help="Up to this day, included.")]
_Bed = Annotated[str | None, typer.Option(metavar="BED", help="Name or id of a bed.")]
_Planting = Annotated[str | None, typer.Option(metavar="PLANTING", help="Id of a planting, or the code of its sowing.")]
_Crop = Annotated[str | None, typer.Option(metavar="CROP", help="A crop, as named in its sowings.")]
_Json = Annotated[bool, typer.Option("--json", help="Print JSON, not rounded.")]


#: a report as JSON and as text
Printed = tuple[BaseModel, str]


def _rates(reports: ReportContext, filters: Filters, by: By) -> Printed:
    """Row feet and plants per hour.

    Working and effective rates, per person too, and field efficiency.
    """
    report = rates(reports, by, filters)
    return RatesOut.model_validate(report), rates_text(report, reports.farm)


def _stands(reports: ReportContext, filters: Filters, _by: By) -> Printed:
    """Stand by planting, and which rows to fill."""
    report = stands(reports, filters)
    return StandsOut.model_validate(report), stands_text(report, reports.farm)


def _soil(reports: ReportContext, filters: Filters, _by: By) -> Printed:
    """Which beds are ready to plant, and why not."""
    report = soil(reports, datetime.now(UTC), filters)
    return SoilOut.model_validate(report), soil_text(report, reports.farm)


def _plan(reports: ReportContext, filters: Filters, _by: By) -> Printed:
    """What to sow and plant when, and problems."""
    sheet = plan(reports, reports.farm.day(datetime.now(UTC)), filters)
    return PlanOut.of(sheet), plan_text(sheet, reports.farm)


def _add_command(name: str, report: Callable[[ReportContext, Filters, By], Printed], *left_out: str) -> None:
    """Register a report as a command, with the shared options but those `left_out`."""

    def command(
        by: _By = By.BED,
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
        with farm_to_read(farm, data, database_url) as (engine, chosen), reading(engine) as connection:
            reports = ReportContext.of(Session(connection), chosen.id)
            try:
                filters = Filters(
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
                    f"No {problem.kind}, or more than one, is called {problem.record!r}.",
                    "Use its full name or its id.",
                ) from problem
            as_model, as_text = report(reports, filters, by)
        typer.echo(as_model.model_dump_json(indent=2) if as_json else as_text)

    whole = signature(command, eval_str=True)
    kept = [parameter for name, parameter in whole.parameters.items() if name not in left_out]
    command.__signature__ = whole.replace(parameters=kept)  # type: ignore[attr-defined]  # typer takes options from it
    app.command(name, help=report.__doc__)(command)


def _date(option: str, text: str | None) -> date | None:
    try:
        return date.fromisoformat(text) if text else None
    except ValueError as problem:
        raise UsageError(f"{option} {text} is not a date.", "Write it like 2026-05-14.") from problem


_add_command("rates", _rates)
_add_command("stands", _stands, "by")
_add_command("soil", _soil, "by", "planting", "crop")
_add_command("plan", _plan, "by")
