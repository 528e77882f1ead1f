"""The pages of the office that tell how each figure comes about."""

from __future__ import annotations

from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, HTTPException, Path
from fastapi.responses import HTMLResponse

from server.pages.desk import DeskOf
from server.pages.methods_page import checks_table, stages
from shared_models.methods import topics

router = APIRouter(include_in_schema=False)


@router.get("/methods")
def show_methods(desk: DeskOf) -> HTMLResponse:
    """The questions that are answered, stage by stage of the work."""
    return desk.show("methods.html", stages=stages())


@router.get("/methods/{module}")
def show_topic(desk: DeskOf, module: Annotated[str, Path(max_length=100)]) -> HTMLResponse:
    """The calculations behind one question with formula, units and source, and the outside checks they passed."""
    topic = next((each for each in topics() if each.module == module), None)
    if topic is None:
        raise HTTPException(HTTPStatus.NOT_FOUND)
    return desk.show("topic.html", topic=topic, checks=checks_table(topic.checks, desk.speech))
