"""The page of the office that tells how each figure comes about."""

from __future__ import annotations

from fastapi import APIRouter
from fastapi.responses import HTMLResponse

from server.pages.desk import DeskOf
from server.pages.methods_page import checks_table
from shared_models.methods import topics

router = APIRouter(include_in_schema=False)


@router.get("/methods")
def show_methods(desk: DeskOf) -> HTMLResponse:
    """Every calculation with its formula, units and source, and the outside checks of its module."""
    return desk.show("methods.html", topics=[(topic, checks_table(topic.checks, desk.speech)) for topic in topics()])
