"""The set-up: the farm and its limits, and what there is to plant, plan and note. For growers; people for owners."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import count
from typing import Annotated

from fastapi import APIRouter, Depends, Path, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from starlette.datastructures import FormData, UploadFile

from server.auth.dependencies import EngineOf, GrowerOf, SurroundingsOf
from server.error_handlers import status_of
from server.exports.imports.writer import write_in
from server.farms.edits import edit
from server.office.forms.limits import GROUPS, PRICES, changed_limits, limits_in
from server.office.log.routes import NOT_SAVED, TypedIn, check_role
from server.office.setup.new_record import added, standing
from server.office.setup.page import LISTS, blank_sheet, cards, farm_page, farm_sheet, list_page, paste_page, words_of
from server.office.setup.paste import read_pasted
from server.office.setup.paste_headings import PASTED_KINDS
from server.office.setup.paste_text import is_text, text_of
from server.office.shell.context import Desk, DeskOf
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
    "same": "Nothing was changed, so nothing was written.",
}
_UNPROCESSABLE = status_of(BadEntry("", {}))


@router.get("/setup")
def show_setup(desk: DeskOf, _grower: GrowerOf) -> HTMLResponse:
    """The parts of the set-up."""
    return desk.show("setup/setup.html", cards=tuple(cards(desk)))


@router.get("/setup/farm")
def show_farm(desk: DeskOf, _grower: GrowerOf, done: str = "") -> HTMLResponse:
    """The farm itself, and its limits."""
    return _farm(desk, done=desk.speech.say(DONE.get(done, "")))


@router.post("/setup/farm")
def change_farm(
    desk: DeskOf, grower: GrowerOf, engine: EngineOf, surroundings: SurroundingsOf, typed: TypedIn
) -> Response:
    """Write what was changed of the farm."""
    entry = _farm_entry(desk)
    sheet = farm_sheet(desk, entry)
    asked = sheet.changes(typed)
    fields, problems = dict(asked.fields), dict(asked.problems)
    kept = [("thresholds", GROUPS)] + ([("prices", PRICES)] if grower.role is Role.OWNER else [])
    for name, groups in kept:
        limits, wrong = changed_limits(groups, limits_in(entry.fields.get(name)), typed, sheet.words)
        problems |= wrong
        if limits is not None:
            fields[name] = limits
    if not problems and fields:
        try:
            edit(engine, grower.farm, "farm", grower.farm, fields, grower.by, surroundings.now())
        except BadEntry as refusal:
            problems = sheet.broken(refusal.problems, typed)
    if problems:
        return _farm(desk, typed, problems)
    return RedirectResponse(f"/setup/farm?done={'saved' if fields else 'same'}", status_code=303)


@router.get("/setup/{part}")
def show_list(
    desk: DeskOf, grower: GrowerOf, surroundings: SurroundingsOf, part: PartOf, done: str = ""
) -> HTMLResponse:
    """A list, and the form that adds to it."""
    check_role(_kind(part), grower)
    return _list(desk, part, surroundings.new_id(), done=desk.speech.say(DONE.get(done, "")))


@router.post("/setup/{part}")
def add(
    desk: DeskOf, grower: GrowerOf, engine: EngineOf, surroundings: SurroundingsOf, typed: TypedIn, part: PartOf
) -> Response:
    """Add a record."""
    kind = _kind(part)
    check_role(kind, grower)
    sheet = blank_sheet(desk, kind, words_of(desk))
    new = added(desk, sheet, typed, surroundings.new_id())
    problems = new.problems
    if not problems and not new.is_written:
        try:
            edit(engine, grower.farm, kind, new.record, new.fields, grower.by, surroundings.now())
        except BadEntry as refusal:
            problems = sheet.broken(refusal.problems, typed)
    if problems:
        return _list(desk, part, new.record, typed, problems)
    return RedirectResponse(f"/setup/{part}?done=saved", status_code=303)


@router.get("/setup/{part}/csv")
def show_paste(desk: DeskOf, grower: GrowerOf, part: PartOf) -> HTMLResponse:
    """The form that takes a table."""
    check_role(_pasted_kind(part), grower)
    return desk.show("setup/paste.html", page=paste_page(desk, part))


@router.post("/setup/{part}/csv")
def paste(
    desk: DeskOf,
    grower: GrowerOf,
    engine: EngineOf,
    surroundings: SurroundingsOf,
    typed: TypedIn,
    text: Annotated[str, Depends(pasted_text)],
    part: PartOf,
) -> Response:
    """Look at a table line by line; save it where that is asked for and nothing is wrong with it."""
    kind = _pasted_kind(part)
    check_role(kind, grower)
    pasted = read_pasted(desk, kind, text, words_of(desk), (surroundings.new_id() for _ in count()))
    if "save" in typed and pasted.found and not pasted.wrong:
        with writing(engine, grower.farm) as connection:
            left_out = write_in(connection, grower.farm, pasted.found, surroundings.now(), grower.by)
            if left_out:  # changed by somebody else just now: nothing of it is kept
                raise BadEntry(kind, {left_out[0].column: left_out[0].reason})
        return RedirectResponse(f"/setup/{part}?done=saved", status_code=303)
    answer = desk.show("setup/paste.html", page=paste_page(desk, part, text if is_text(text) else "", pasted))
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


def _farm_entry(desk: Desk) -> Entry:
    """The farm as it stands; one whose record has not arrived has none."""
    key = RecordKey("farm", desk.farm.id)
    return standing(desk, key) or Entry(key, {})


def _farm(
    desk: Desk, typed: FormData | None = None, problems: Mapping[str, str] | None = None, done: str = ""
) -> HTMLResponse:
    page = farm_page(desk, _farm_entry(desk), typed, problems, _sentence(desk, problems))
    answer = desk.show("setup/farm.html", page=page, done=done, address="/setup/farm")
    return _with_status(answer, problems)


def _list(
    desk: Desk,
    part: str,
    record: str,
    typed: FormData | None = None,
    problems: Mapping[str, str] | None = None,
    done: str = "",
) -> HTMLResponse:
    page = list_page(desk, part, record, typed, problems, _sentence(desk, problems))
    return _with_status(desk.show("layout/record_list.html", page=page, done=done, address=page.path), problems)


def _sentence(desk: Desk, problems: Mapping[str, str] | None) -> str:
    if not problems:
        return ""
    return problems.get("") or desk.speech.say(NOT_SAVED)


def _with_status(answer: HTMLResponse, problems: Mapping[str, str] | None) -> HTMLResponse:
    if problems:
        answer.status_code = _UNPROCESSABLE
    return answer
