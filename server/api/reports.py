"""GET /v1/rates, /v1/stands, /v1/soil, /v1/plan, /v1/misses, /v1/beds, /v1/plantings: the reports as JSON."""

from datetime import date
from typing import Annotated

from fastapi import APIRouter, Depends, Query

from server.api.examples import example_answer
from server.auth.dependencies import FarmOf, ProvidersOf, Reading
from server.render.json.misses import MissesOut
from server.render.json.plan import PlanOut
from server.render.json.rates import RatesOut
from server.render.json.stands_and_soil import BedOut, PlantingOut, SoilOut, StandsOut
from shared_models.reports.common import find
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.filters import Filters
from shared_models.reports.misses import misses
from shared_models.reports.pace.rates import By, rates
from shared_models.reports.plan.sheet import plan
from shared_models.reports.soil.beds import soil
from shared_models.reports.stand.stands import stands

router = APIRouter(prefix="/v1", tags=["reports"])


def report_context(farm: FarmOf, session: Reading) -> ReportContext:
    """What the reports of one request share."""
    return ReportContext.of(session, farm)


ReportsOf = Annotated[ReportContext, Depends(report_context)]


def report_filters(
    reports: ReportsOf,
    day: Annotated[date | None, Query(description="One day on the farm's clock, such as 2026-05-14.")] = None,
    since: Annotated[date | None, Query(description="From this day on; not together with day.")] = None,
    until: Annotated[date | None, Query(description="Up to and with this day; not together with day.")] = None,
    bed: Annotated[str | None, Query(max_length=300, description="Id or name of a bed.")] = None,
    planting: Annotated[
        str | None, Query(max_length=600, description="Id of a planting, or the code of its sowing.")
    ] = None,
    crop: Annotated[str | None, Query(max_length=200, description="A crop, as its sowings call it.")] = None,
) -> Filters:
    """The filters of a request; names are looked up.

    Raises:
        BadQuantity: when the days contradict each other.
        UnknownRecord: when no bed or planting, or more than one, is called that.
    """
    return Filters(
        day,
        since,
        until,
        find.find_bed(reports, bed) if bed else None,
        find.find_planting(reports, planting) if planting else None,
        crop or None,
    )


FiltersOf = Annotated[Filters, Depends(report_filters)]


@router.get("/rates", responses=example_answer("rates"))
def read_rates(
    reports: ReportsOf,
    filters: FiltersOf,
    by: Annotated[By, Query(description="What each line stands for.")] = By.BED,
) -> RatesOut:
    """Row feet and plants per hour: working and effective rate, field efficiency, per person. Figures are not rounded.

    Row time is end - start - stops; field time adds stops and turns. Working rate is length / row time, effective
    rate is length / field time, field efficiency is their quotient.
    """
    return RatesOut.model_validate(rates(reports, by, filters))


@router.get("/stands", responses=example_answer("stands"))
def read_stands(reports: ReportsOf, filters: FiltersOf) -> StandsOut:
    """Stand by planting: as planted, and as counted with a 95% interval. Figures are not rounded."""
    return StandsOut.model_validate(stands(reports, filters))


@router.get("/soil", responses=example_answer("soil"))
def read_soil(reports: ReportsOf, filters: FiltersOf, providers: ProvidersOf) -> SoilOut:
    """Whether each bed is ready to plant now, what the problems are, and its checks on the requested days."""
    return SoilOut.model_validate(soil(reports, providers.now(), filters))


@router.get("/plan", responses=example_answer("plan"))
def read_plan(reports: ReportsOf, filters: FiltersOf, providers: ProvidersOf) -> PlanOut:
    """The plan: what to sow and plant when, what it takes, and its problems.

    Without days: plantings of this season and the coming year that are not started. Hours are based on the farm's
    own rows. Figures are not rounded.
    """
    return PlanOut.of(plan(reports, reports.farm.day(providers.now()), filters))


@router.get("/misses", responses=example_answer("misses"))
def read_misses(reports: ReportsOf, filters: FiltersOf, providers: ProvidersOf) -> MissesOut:
    """What goes along with misses: depth, moisture, plant age, tillage, spacing, crew, each with the others held equal.

    A hint, not proof: rows are compared as they happened. Figures are not rounded.
    """
    return MissesOut.model_validate(misses(reports, providers.now(), filters))


@router.get("/beds", responses=example_answer("beds"))
def read_beds(reports: ReportsOf) -> list[BedOut]:
    """Every bed that was not deleted, by name."""
    return [BedOut.model_validate(listed.bed) for listed in find.beds(reports)]


@router.get("/plantings", responses=example_answer("plantings"))
def read_plantings(reports: ReportsOf) -> list[PlantingOut]:
    """Every planting that was not deleted, by planned day and name."""
    return [PlantingOut.model_validate(listed) for listed in find.plantings(reports)]
