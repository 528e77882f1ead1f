"""The pages of the office that tell how each figure comes about."""

from __future__ import annotations

from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, HTTPException, Path, Request
from fastapi.responses import HTMLResponse

from server.office.methods.calculators.calculator import Here, work_out
from server.office.methods.calculators.registry import RECKONINGS
from server.office.methods.page import checks_table, stages
from server.office.shell.context import DeskOf
from shared_models.methods import topics

router = APIRouter(include_in_schema=False)


@router.get("/methods")
def show_methods(desk: DeskOf) -> HTMLResponse:
    """The questions that are answered, stage by stage of the work."""
    return desk.show("methods/methods.html", stages=stages(), reckoned=RECKONINGS.keys())


@router.get("/methods/{module}")
def show_topic(desk: DeskOf, request: Request, module: Annotated[str, Path(max_length=100)]) -> HTMLResponse:
    """The calculations behind one question with formula, units and source, and the outside checks they passed.

    Where they can be worked out with figures of one's own, those stand in the address.
    """
    topic = next((each for each in topics() if each.module == module), None)
    if topic is None:
        raise HTTPException(HTTPStatus.NOT_FOUND)
    here = Here(desk.farm, desk.speech)
    reckonings = [work_out(each, request.query_params, here) for each in RECKONINGS.get(module, ())]
    checks = checks_table(topic.checks, desk.speech)
    return desk.show("methods/topic.html", topic=topic, reckonings=reckonings, checks=checks)
