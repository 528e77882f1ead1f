"""The log of changes, and the page of one record, where a grower corrects it."""

from collections.abc import Mapping
from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Depends, Form, HTTPException, Path, Query, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from pydantic import StringConstraints
from starlette.datastructures import FormData

from server.auth.dependencies import EngineOf, GrowerOf, ProvidersOf
from server.exports.proof.paper import MOST_IN_CODE, PATH
from server.farms.edits import edit
from server.office.forms.requests import NOT_SAVED, TypedIn, check_role
from server.office.log.entry import entry_form, entry_page
from server.office.log.page import LogFilter, log_page
from server.office.log.paper_page import PaperQuery, paper_page
from server.office.shell.context import ContextOf, OfficeContext
from server.office.shell.query import Day, Word
from server.web.status import status_of
from shared_models.core.ids import is_id
from shared_models.errors import BadEntry, UnknownRecord
from shared_models.log.projection import RecordKey
from shared_models.reports.audit.changes import Position
from shared_models.reports.audit.entries import KIND_NAMES, entry_of

router = APIRouter(include_in_schema=False)

DONE = {
    "saved": "Saved. The old values stay in the history.",
    "same": "No changes to save.",
    "deleted": "Deleted: no longer in any list or report. You can restore it here.",
    "back": "Restored.",
}


KindOf = Annotated[str, Path(max_length=64)]
RecordOf = Annotated[str, Path(max_length=40)]


def log_filter(
    kind: Annotated[Word, Query()] = None,
    person: Annotated[Word, Query()] = None,
    phone: Annotated[Word, Query()] = None,
    day: Annotated[Day, Query()] = None,
    text: Annotated[Word, Query()] = None,
    before: Annotated[str, Query(max_length=100)] = "",
) -> LogFilter:
    """What the address asks about."""
    return LogFilter(kind, person, phone, day, text, Position.read(before) if before else None)


@router.get("/log")
def show_log(context: ContextOf, asked: Annotated[LogFilter, Depends(log_filter)]) -> HTMLResponse:
    """Every change, the newest first."""
    return context.show("log/log.html", page=log_page(context, asked))


def paper_query(
    head: Annotated[tuple[Annotated[str, StringConstraints(max_length=120)], ...], Query(max_length=MOST_IN_CODE)] = (),
    typed: Annotated[str, Query(max_length=2000)] = "",
    bed: Annotated[Word, Query()] = None,
    every: Annotated[Word, Query(alias="all")] = None,
) -> PaperQuery:
    """What is asked about a paper."""
    return PaperQuery(head, typed, bed, every is not None)


@router.get(PATH)
def check_a_paper(context: ContextOf, asked: Annotated[PaperQuery, Depends(paper_query)]) -> HTMLResponse:
    """Whether the records still hold what a planting record was printed from, and what was added since."""
    return context.show("log/paper.html", page=paper_page(context, asked))


@router.get("/log/{kind}/{record}")
def show_entry(context: ContextOf, kind: KindOf, record: RecordOf, done: str = "") -> HTMLResponse:
    """One record: its fields, the form that corrects them, and its history."""
    page = entry_page(context, known_key(kind, record))
    return context.show("log/entry.html", page=page, done=context.localizer.t(DONE.get(done, "")), address=page.path)


@router.post("/log/{kind}/{record}")
def correct(
    context: ContextOf,
    grower: GrowerOf,
    engine: EngineOf,
    providers: ProvidersOf,
    typed: TypedIn,
    kind: KindOf,
    record: RecordOf,
) -> Response:
    """Write what was corrected as a further line; when it breaks a rule, show the form again."""
    key = known_key(kind, record)
    check_role(kind, grower)
    form = entry_form(context, entry_of(context.session, context.farm.id, key))
    asked = form.changes(typed)
    fields, problems = asked.fields, asked.problems
    if not problems and fields:
        try:
            edit(engine, grower.farm, kind, record, fields, grower.by, providers.now())
        except BadEntry as refusal:
            problems = form.broken(refusal.problems, typed)
    if problems:
        return _again(context, key, typed, problems)
    return RedirectResponse(f"/log/{kind}/{record}?done={'saved' if fields else 'same'}", status_code=303)


@router.post("/log/{kind}/{record}/void")
def void(
    context: ContextOf,
    grower: GrowerOf,
    engine: EngineOf,
    providers: ProvidersOf,
    kind: KindOf,
    record: RecordOf,
    voided: Annotated[bool, Form()],
) -> Response:
    """Take a record out of every list and report, or put it back; once, however often that is sent."""
    key = known_key(kind, record)
    check_role(kind, grower)
    if kind == "farm":
        raise HTTPException(HTTPStatus.NOT_FOUND)  # nothing would be left to put it back in
    if entry_of(context.session, context.farm.id, key).voided != voided:
        edit(engine, grower.farm, kind, record, {"voided": voided}, grower.by, providers.now())
    return RedirectResponse(f"/log/{kind}/{record}?done={'deleted' if voided else 'back'}", status_code=303)


def known_key(kind: str, record: str) -> RecordKey:
    """A record by its kind and id.

    Raises:
        UnknownRecord: when there can be none.
    """
    if kind not in KIND_NAMES or not is_id(record):
        raise UnknownRecord(kind[:40], record)
    return RecordKey(kind, record)


def _again(context: OfficeContext, key: RecordKey, typed: FormData, problems: Mapping[str, str]) -> HTMLResponse:
    sentence = problems.get("") or context.localizer.t(NOT_SAVED)
    page = entry_page(context, key, typed, problems, sentence)
    answer = context.show("log/entry.html", page=page, done="", address=page.path)
    answer.status_code = status_of(BadEntry(key.kind, {}))
    return answer
