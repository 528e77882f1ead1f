"""What the page of one record shows: every field, the form that corrects them, and what became of it line by line."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from starlette.datastructures import FormData

from server.office.forms.fields import fields_of, may_change
from server.office.forms.names import Words, all_names
from server.office.forms.record_form import Filled, Sheet
from server.office.forms.titles import kind_name, title
from server.office.log.lines import LogLine, Tellers, told_lines
from server.office.reports.planting_history import Fact
from server.office.shell.context import Desk
from shared_models.log.projection import RecordKey, history
from shared_models.reports.audit.entries import Entry, entry_of

NOWHERE = "It was deleted: it is in no list and no report."
KEPT_WITH_IT = "It was deleted: it is offered nowhere any more. What was logged with it stays."
#: kinds whose name goes on standing with what was logged with them
NAMED_ELSEWHERE = frozenset({"bed", "sowing", "person"})


@dataclass(frozen=True, slots=True)
class EntryPage:
    """Everything on the page. `filled` is empty for somebody who may only read; `broken` are rules it breaks now."""

    kind: str
    title: str
    path: str
    facts: tuple[Fact, ...]
    filled: tuple[Filled, ...]
    broken: tuple[str, ...]
    voided: bool
    deleted: str
    may_change: bool
    may_delete: bool
    lines: tuple[LogLine, ...]
    sentence: str = ""
    is_open: bool = False


def sheet_of(desk: Desk, entry: Entry) -> Sheet:
    """The form on an entry, with everything there is to choose from."""
    words = Words(desk.speech, all_names(desk.session, desk.farm.id))
    return Sheet(entry, fields_of(entry.key.kind, desk.office.role), words)


def entry_page(
    desk: Desk,
    key: RecordKey,
    typed: FormData | None = None,
    problems: Mapping[str, str] | None = None,
    sentence: str = "",
) -> EntryPage:
    """A record as it stands; with what was typed, where that could not be saved."""
    entry = entry_of(desk.session, desk.farm.id, key)
    sheet = sheet_of(desk, entry)
    words = sheet.words
    may = may_change(key.kind, desk.office.role)
    told = sheet.broken(entry.problems) if problems is None else problems
    return EntryPage(
        kind=kind_name(key.kind, words),
        title=title(entry, words),
        path=f"/log/{key.kind}/{key.id}",
        facts=tuple(_facts(sheet, desk)),
        filled=tuple(sheet.filled(typed, told)) if may else (),
        broken=sheet.faults(entry.problems),
        voided=entry.voided,
        deleted=desk.speech.say(KEPT_WITH_IT if key.kind in NAMED_ELSEWHERE else NOWHERE),
        may_change=may,
        may_delete=may and key.kind != "farm",
        lines=tuple(_history(desk, key)),
        sentence=sentence,
        is_open=typed is not None or bool(entry.problems),
    )


def _facts(sheet: Sheet, desk: Desk) -> Iterable[Fact]:
    said = [(desk.speech.say(field.label), sheet.said(field)) for field in sheet.fields]
    yield from (Fact(label, told) for label, told in said if told)
    silent = ", ".join(label for label, told in said if not told)
    if silent:
        yield Fact(desk.speech.say("Not told"), silent)


def _history(desk: Desk, key: RecordKey) -> Iterable[LogLine]:
    """Every line that whoever asks may see, the latest first."""
    tellers = Tellers.at(desk)
    lines = history(desk.session.connection(), desk.farm.id, key)
    seen = [line for line in lines if line.device in tellers.open_logs]
    return told_lines(desk, tellers, sorted(seen, key=lambda line: line.order, reverse=True))
