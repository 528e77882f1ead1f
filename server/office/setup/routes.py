"""The set-up: the farm and its limits, and what there is to plant, plan and note. For growers; people for owners."""

from collections.abc import Mapping
from itertools import count
from typing import Annotated

from fastapi import APIRouter, Depends, Path, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from starlette.datastructures import FormData, UploadFile

from server.auth.dependencies import EngineOf, GrowerOf, ProvidersOf
from server.exports.imports.writer import write_in
from server.farms.edits import edit
from server.office.forms.limits import GROUPS, PRICES, changed_limits, limits_in
from server.office.forms.requests import NOT_SAVED, TypedIn, check_role
from server.office.setup.new_record import added, entry_of_record
from server.office.setup.page import LISTS, blank_form, cards, farm_form, farm_page, list_page, names_for, paste_page
from server.office.setup.paste import read_pasted
from server.office.setup.paste_headings import PASTED_KINDS
from server.office.setup.paste_text import is_text, text_of
from server.office.shell.context import ContextOf, OfficeContext
from server.web.status import status_of
from shared_models.core.vocabulary import Role
from shared_models.errors import BadEntry, UnknownRecord
from shared_models.log.projection import RecordKey
from shared_models.log.store import writing
from shared_models.reports.audit.entries import Entry

router = APIRouter(include_in_schema=False)


async def pasted_text(typed: TypedIn) -> str:
    """The table that was pasted, or the file that was chosen instead."""
    chosen = typed.get("file")
    if isinstance(chosen, UploadFile) and chosen.filename:
        return text_of(await chosen.read())
    text = typed.get("text")
    return text if isinstance(text, str) else ""


PartOf = Annotated[str, Path(max_length=40)]
DONE = {
    "saved": "Saved. Phones get it with their next sync.",
    "same": "No changes to save.",
}
_UNPROCESSABLE = status_of(BadEntry("", {}))


@router.get("/setup")
def show_setup(context: ContextOf, _grower: GrowerOf) -> HTMLResponse:
    """The parts of the set-up."""
    return context.show("setup/setup.html", cards=tuple(cards(context)))


@router.get("/setup/farm")
def show_farm(context: ContextOf, _grower: GrowerOf, done: str = "") -> HTMLResponse:
    """The farm itself, and its limits."""
    return _farm(context, done=context.localizer.t(DONE.get(done, "")))


@router.post("/setup/farm")
def change_farm(
    context: ContextOf, grower: GrowerOf, engine: EngineOf, providers: ProvidersOf, typed: TypedIn
) -> Response:
    """Write what was changed of the farm."""
    entry = _farm_entry(context)
    form = farm_form(context, entry)
    changes = form.changes(typed)
    fields, problems = dict(changes.fields), dict(changes.problems)
    kept = [("thresholds", GROUPS)] + ([("prices", PRICES)] if grower.role is Role.OWNER else [])
    for name, groups in kept:
        limits, wrong = changed_limits(groups, limits_in(entry.fields.get(name)), typed, form.names)
        problems |= wrong
        if limits is not None:
            fields[name] = limits
    if not problems and fields:
        try:
            edit(engine, grower.farm, "farm", grower.farm, fields, grower.by, providers.now())
        except BadEntry as refusal:
            problems = form.broken(refusal.problems, typed)
    if problems:
        return _farm(context, typed, problems)
    return RedirectResponse(f"/setup/farm?done={'saved' if fields else 'same'}", status_code=303)


@router.get("/setup/{part}")
def show_list(
    context: ContextOf, grower: GrowerOf, providers: ProvidersOf, part: PartOf, done: str = ""
) -> HTMLResponse:
    """A list, and the form that adds to it."""
    check_role(_kind(part), grower)
    return _list(context, part, providers.new_id(), done=context.localizer.t(DONE.get(done, "")))


@router.post("/setup/{part}")
def add(
    context: ContextOf, grower: GrowerOf, engine: EngineOf, providers: ProvidersOf, typed: TypedIn, part: PartOf
) -> Response:
    """Add a record."""
    kind = _kind(part)
    check_role(kind, grower)
    form = blank_form(context, kind, names_for(context))
    new = added(context, form, typed, providers.new_id())
    problems = new.problems
    if not problems and not new.is_written:
        try:
            edit(engine, grower.farm, kind, new.record, new.fields, grower.by, providers.now())
        except BadEntry as refusal:
            problems = form.broken(refusal.problems, typed)
    if problems:
        return _list(context, part, new.record, typed, problems)
    return RedirectResponse(f"/setup/{part}?done=saved", status_code=303)


@router.get("/setup/{part}/csv")
def show_paste(context: ContextOf, grower: GrowerOf, part: PartOf) -> HTMLResponse:
    """The form that takes a table."""
    check_role(_pasted_kind(part), grower)
    return context.show("setup/paste.html", page=paste_page(context, part))


@router.post("/setup/{part}/csv")
def paste(
    context: ContextOf,
    grower: GrowerOf,
    engine: EngineOf,
    providers: ProvidersOf,
    typed: TypedIn,
    text: Annotated[str, Depends(pasted_text)],
    part: PartOf,
) -> Response:
    """Look at a table line by line; save it where that is asked for and nothing is wrong with it."""
    kind = _pasted_kind(part)
    check_role(kind, grower)
    pasted = read_pasted(context, kind, text, names_for(context), (providers.new_id() for _ in count()))
    if "save" in typed and pasted.found and not pasted.wrong:
        with writing(engine, grower.farm) as connection:
            left_out = write_in(connection, grower.farm, pasted.found, providers.now(), grower.by)
            if left_out:  # changed by somebody else just now: nothing of it is kept
                raise BadEntry(kind, {left_out[0].column: left_out[0].reason})
        return RedirectResponse(f"/setup/{part}?done=saved", status_code=303)
    answer = context.show("setup/paste.html", page=paste_page(context, part, text if is_text(text) else "", pasted))
    if pasted.wrong:
        answer.status_code = _UNPROCESSABLE
    return answer


def _kind(part: str) -> str:
    if part not in LISTS:
        raise UnknownRecord("page", part)
    return LISTS[part].kind


def _pasted_kind(part: str) -> str:
    kind = _kind(part)
    if kind not in PASTED_KINDS:
        raise UnknownRecord("page", part)
    return kind


def _farm_entry(context: OfficeContext) -> Entry:
    """The farm as it stands; one whose record has not arrived has none."""
    key = RecordKey("farm", context.farm.id)
    return entry_of_record(context, key) or Entry(key, {})


def _farm(
    context: OfficeContext, typed: FormData | None = None, problems: Mapping[str, str] | None = None, done: str = ""
) -> HTMLResponse:
    page = farm_page(context, _farm_entry(context), typed, problems, _sentence(context, problems))
    answer = context.show("setup/farm.html", page=page, done=done, address="/setup/farm")
    return _with_status(answer, problems)


def _list(
    context: OfficeContext,
    part: str,
    record: str,
    typed: FormData | None = None,
    problems: Mapping[str, str] | None = None,
    done: str = "",
) -> HTMLResponse:
    page = list_page(context, part, record, typed, problems, _sentence(context, problems))
    return _with_status(context.show("layout/record_list.html", page=page, done=done, address=page.path), problems)


def _sentence(context: OfficeContext, problems: Mapping[str, str] | None) -> str:
    if not problems:
        return ""
    return problems.get("") or context.localizer.t(NOT_SAVED)


def _with_status(answer: HTMLResponse, problems: Mapping[str, str] | None) -> HTMLResponse:
    if problems:
        answer.status_code = _UNPROCESSABLE
    return answer
