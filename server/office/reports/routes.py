"""The office's pages, and their style."""

from typing import Annotated

from fastapi import APIRouter, Path, Query, Response
from fastapi.responses import HTMLResponse

from server.office.reports.day import day_page
from server.office.reports.misses import misses_page
from server.office.reports.pace import pace_page
from server.office.reports.plan import plan_page
from server.office.reports.planting_history import bed_page, sowing_page
from server.office.reports.season import season_page
from server.office.reports.soil import soil_page
from server.office.reports.stand import stand_page
from server.office.shell.context import ContextOf
from server.office.shell.query import Day, PageQueryOf, Word, filter_form
from server.office.shell.render import stylesheet
from shared_models.core.vocabulary import Role
from shared_models.errors import UnknownRecord
from shared_models.records.tables import Bed, RowPass, StandCount
from shared_models.reports.common import find
from shared_models.reports.common.filters import Filters
from shared_models.reports.misses import misses
from shared_models.reports.pace.rates import By
from shared_models.reports.pace.sheet import pace_sheet
from shared_models.reports.plan.sheet import plan
from shared_models.reports.plan.trays import tray_checks
from shared_models.reports.sheets.day import day_sheet, planting_days
from shared_models.reports.sheets.planting_history import planting_histories
from shared_models.reports.sheets.season import season_sheet
from shared_models.reports.soil.beds import soil
from shared_models.reports.soil.history import soil_history
from shared_models.reports.stand.sheet import stand_sheet

router = APIRouter(include_in_schema=False)

_FOR_GOOD = {"Cache-Control": "public, max-age=31536000, immutable"}


@router.get("/")
def show_day(context: ContextOf, day: Annotated[Day, Query()] = None) -> HTMLResponse:
    """One day of the farm; without a day asked for, the latest with planting."""
    reports, now, t = context.reports, context.now, context.localizer.t
    days, today = planting_days(reports), context.farm.day(now)
    shown = Filters(day=day).day or days.latest(today)
    if shown is None and not find.beds(reports):
        summary = t(
            "Each day's totals: row feet and plants per hour, by bed, crew, person and hour; where the "
            "time went; each row, so you can check the math; the stand and what to fill; which beds are OK "
            "to plant, which must wait, and why."
        )
        return context.show("layout/empty.html", title=t("No planting yet"), summary=summary)
    sheet = day_sheet(reports, shown or today, now)
    return context.show("reports/day.html", page=day_page(sheet, days, now, context.localizer))


@router.get("/pace")
def show_pace(
    context: ContextOf,
    asked: PageQueryOf,
    by: Annotated[By, Query()] = By.CREW,
    first: Annotated[Word, Query()] = None,
    second: Annotated[Word, Query()] = None,
) -> HTMLResponse:
    """How fast rows went, by crew, hour, crop or whatever is asked; two compared; what slowed them."""
    t, filters = context.localizer.t, asked.filters(context.farm, context.now)
    if not context.holds(RowPass):
        summary = t(
            "How fast planting goes: row feet and plants per hour and person, by hour of the day, crew, "
            "person, crop, spacing, bed, week and season; compare any two; what slowed you down; and how "
            "it compares with setting plugs by hand."
        )
        return context.show("layout/empty.html", title=t("Pace"), summary=summary)
    names = context.names()
    sheet = pace_sheet(context.reports, by, filters, (first, second))
    asks = filter_form("/pace", asked, filters, names)
    return context.show(
        "reports/pace.html", page=pace_page(sheet, asked, asks, context.localizer, marked=bool(first or second))
    )


@router.get("/soil")
def show_soil(context: ContextOf, asked: PageQueryOf) -> HTMLResponse:
    """Readiness of each bed over time, what limited it, and when a wet one will be fit again."""
    t, filters = context.localizer.t, asked.filters(context.farm, context.now)
    if not context.holds(Bed):
        summary = t(
            "Soil in each bed, now and before: each check with its verdict, moisture and reason, the rain, "
            "and when it was planted; and for a bed that is too wet, when it will be OK to plant."
        )
        return context.show("layout/empty.html", title=t("Soil"), summary=summary)
    names = context.names()
    history = soil_history(context.reports, context.now, filters)
    asks = filter_form("/soil", asked, filters, names, crops=False)
    return context.show("reports/soil.html", page=soil_page(history, asks, context.farm, context.localizer))


@router.get("/stand")
def show_stand(context: ContextOf, asked: PageQueryOf) -> HTMLResponse:
    """How full and how evenly the rows stand, what to fill, and which rows to look at."""
    t, filters = context.localizer.t, asked.filters(context.farm, context.now)
    if not (context.holds(RowPass) or context.holds(StandCount)):
        summary = t(
            "Stand by planting, from misses logged while planting and from stand counts; how even the "
            "spacing is, from tape samples; what is left to fill and how many plants to carry; and rows "
            "with too many misses."
        )
        return context.show("layout/empty.html", title=t("Stand"), summary=summary)
    names = context.names()
    sheet = stand_sheet(context.reports, filters)
    return context.show(
        "reports/stand.html", page=stand_page(sheet, filter_form("/stand", asked, filters, names), context.localizer)
    )


@router.get("/season")
def show_season(context: ContextOf, asked: PageQueryOf) -> HTMLResponse:
    """Totals, crops, successions and beds of a season; for an owner, what each living plant cost."""
    t, filters = context.localizer.t, asked.filters(context.farm, context.now)
    names = context.names()
    if not (context.holds(RowPass) or names.plantings):
        summary = t(
            "The season's totals by bed, crop and succession, what is planned but not planted yet, and the "
            "cost of each living plant."
        )
        return context.show("layout/empty.html", title=t("Season"), summary=summary)
    with_costs = context.office.role.covers(Role.OWNER)
    sheet = season_sheet(context.reports, filters, with_costs=with_costs)
    return context.show(
        "reports/season.html", page=season_page(sheet, filter_form("/season", asked, filters, names), context.localizer)
    )


@router.get("/misses")
def show_misses(context: ContextOf, asked: PageQueryOf) -> HTMLResponse:
    """What went with misses, how sure that is, and the next setting to try."""
    t, filters = context.localizer.t, asked.filters(context.farm, context.now)
    if not context.holds(RowPass):
        summary = t(
            "What goes along with misses: furrow depth, moisture, plant age, time since tillage, spacing "
            "and crew, each adjusted for the others, and how sure that is; and what to try next. Each one "
            "needs ten rows and ten misses, with depth, soil checks and sowing dates logged."
        )
        return context.show("layout/empty.html", title=t("Misses: possible causes"), summary=summary)
    names = context.names()
    sheet = misses(context.reports, context.now, filters)
    return context.show(
        "reports/misses.html", page=misses_page(sheet, filter_form("/misses", asked, filters, names), context.localizer)
    )


@router.get("/plan")
def show_plan(context: ContextOf, asked: PageQueryOf) -> HTMLResponse:
    """What is to be planted and sown when, what it takes week by week, and what of it cannot be done."""
    t, filters = context.localizer.t, asked.filters(context.farm, context.now)
    names = context.names()
    if not (names.sowings or names.plantings):
        summary = t(
            "The plan, worked back from each planting date: when to sow; trays, seed, chain and mix; bench "
            "space and hours by week; what comes next; and any problems. Start with one planting and its "
            "planned date."
        )
        return context.show("layout/empty.html", title=t("Plan"), summary=summary)
    sheet = plan(context.reports, context.farm.day(context.now), filters)
    return context.show(
        "reports/plan.html", page=plan_page(sheet, filter_form("/plan", asked, filters, names), context.localizer)
    )


@router.get("/bed/{bed}")
def show_bed(context: ContextOf, bed: Annotated[str, Path(max_length=300)]) -> HTMLResponse:
    """The whole life of a bed, by its id or name: its soil, and each planting from seed lot to stand."""
    found = find.find_bed(context.reports, bed)
    names = context.names()
    history = soil_history(context.reports, context.now, Filters(bed=found))
    checked = next(each for each in history.beds if each.bed_id == found)
    planted = [planting.id for planting in names.plantings.values() if planting.bed == found]
    lived = planting_histories(context.reports, planted, {found: checked})
    return context.show(
        "reports/bed.html", page=bed_page(names.beds[found], checked, history, lived, context.farm, context.localizer)
    )


@router.get("/sowing/{sowing}")
def show_sowing(context: ContextOf, sowing: Annotated[str, Path(max_length=300)]) -> HTMLResponse:
    """The whole life of a sowing, by its id: trays, and each planting of it to its stand."""
    names = context.names()
    found = names.sowings.get(sowing)
    if found is None:
        raise UnknownRecord("sowing", sowing)
    planted = [planting.id for planting in names.plantings.values() if planting.sowing == sowing]
    checked = {bed.bed_id: bed for bed in soil(context.reports, context.now).beds}
    lived = planting_histories(context.reports, planted, checked)
    trays = tray_checks(context.reports, [sowing])[sowing]
    return context.show("reports/sowing.html", page=sowing_page(found, trays, lived, context.localizer))


@router.get("/pages/office.css")
def style() -> Response:
    """The style of the pages; its address changes with it."""
    return Response(stylesheet(), media_type="text/css", headers=_FOR_GOOD)
