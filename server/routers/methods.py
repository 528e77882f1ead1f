"""The page of the office that tells how each figure comes about."""

from __future__ import annotations

from fastapi import APIRouter
from fastapi.responses import HTMLResponse

from server.access import FarmOf, Reading
from server.pages.answer import page
from server.pages.methods_page import checks_table
from shared_models.methods import topics
from shared_models.reports.farm import farm_facts

router = APIRouter(include_in_schema=False)


@router.get("/methods")
def show_methods(farm: FarmOf, session: Reading) -> HTMLResponse:
    """Every calculation with its formula, units and source, and the outside checks of its module."""
    told = [(topic, checks_table(topic.checks)) for topic in topics()]
    return page("methods.html", farm=farm_facts(session, farm).name, topics=told)
