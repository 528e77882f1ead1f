"""The office's pages, and their style."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from fastapi import APIRouter, Query, Response
from fastapi.responses import HTMLResponse

from server.access import FarmOf, Reading, SurroundingsOf
from server.pages import stylesheet
from server.pages.answer import page
from server.pages.day_page import day_page
from shared_models.reports import catalog
from shared_models.reports.day import day_sheet, planting_days
from shared_models.reports.farm import farm_facts
from shared_models.reports.filters import Filters

router = APIRouter(include_in_schema=False)

_FOR_GOOD = {"Cache-Control": "public, max-age=31536000, immutable"}


@router.get("/")
def show_day(
    farm: FarmOf, session: Reading, surroundings: SurroundingsOf, day: Annotated[date | None, Query()] = None
) -> HTMLResponse:
    """One day of the farm; without a day asked for, the latest with planting."""
    facts, now = farm_facts(session, farm), surroundings.now()
    days = planting_days(session, facts)
    shown = Filters(day=day).day or days.latest(facts.day(now))
    if shown is None and not catalog.beds(session, farm):
        return page("empty.html", farm=facts.name)
    sheet = day_sheet(session, farm, shown or facts.day(now), now)
    return page("day.html", page=day_page(sheet, days, now))


@router.get("/pages/office.css")
def style() -> Response:
    """The style of the pages; its address changes with it."""
    return Response(stylesheet(), media_type="text/css", headers=_FOR_GOOD)
