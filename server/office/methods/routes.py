"""The pages of methods and calculators."""

from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, HTTPException, Path, Request
from fastapi.responses import HTMLResponse

from server.office.methods.calculators.calculator import CalculatorContext, work_out
from server.office.methods.calculators.registry import CALCULATORS
from server.office.methods.page import checks_table, stages
from server.office.shell.context import ContextOf
from shared_models.methods import topics

router = APIRouter(include_in_schema=False)


@router.get("/methods")
def show_methods(context: ContextOf) -> HTMLResponse:
    """The questions that are answered, stage by stage of the work."""
    return context.show("methods/methods.html", stages=stages(), calculated=CALCULATORS.keys())


@router.get("/methods/{module}")
def show_topic(context: ContextOf, request: Request, module: Annotated[str, Path(max_length=100)]) -> HTMLResponse:
    """The calculations behind one question with formula, units and source, and the outside checks they passed.

    Where they can be worked out with figures of one's own, those stand in the address.
    """
    topic = next((each for each in topics() if each.module == module), None)
    if topic is None:
        raise HTTPException(HTTPStatus.NOT_FOUND)
    calculator_context = CalculatorContext(context.farm, context.localizer)
    results = [work_out(each, request.query_params, calculator_context) for each in CALCULATORS.get(module, ())]
    checks = checks_table(topic.checks, context.localizer)
    return context.show("methods/topic.html", topic=topic, results=results, checks=checks)
