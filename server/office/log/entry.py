"""What the page of one record shows: every field, the form that corrects them, and what became of it line by line."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from starlette.datastructures import FormData

from server.office.forms.fields import fields_of, may_change
from server.office.forms.names import RecordNames, all_names
from server.office.forms.record_form import FormField, RecordForm
from server.office.forms.titles import kind_name, title
from server.office.log.lines import LineFormatter, LogLine, log_lines
from server.office.shell.context import OfficeContext
from server.office.shell.view import Fact
from shared_models.log.projection import RecordKey, history
from shared_models.reports.audit.entries import Entry, entry_of
from shared_models.reports.audit.history import without_repeats

NOWHERE = "Deleted: not in any list or report."
KEPT_WITH_IT = "Deleted: no longer offered in lists. What was logged with it stays."
#: kinds whose name goes on entries_of with what was logged with them
NAMED_ELSEWHERE = frozenset({"bed", "sowing", "person"})


@dataclass(frozen=True, slots=True)
class EntryPage:
    """Everything on the page. `filled` is empty for somebody who may only read; `broken` are rules it breaks now."""

    kind: str
    title: str
    path: str
    facts: tuple[Fact, ...]
    filled: tuple[FormField, ...]
    broken: tuple[str, ...]
    until_corrected: str
    voided: bool
    deleted: str
    may_change: bool
    may_delete: bool
    lines: tuple[LogLine, ...]
    sentence: str = ""
    is_open: bool = False


def entry_form(context: OfficeContext, entry: Entry) -> RecordForm:
    """The form on an entry, with everything there is to choose from."""
    names = RecordNames(context.localizer, all_names(context.session, context.farm.id))
    return RecordForm(entry, fields_of(entry.key.kind, context.office.role), names)


def entry_page(
    context: OfficeContext,
    key: RecordKey,
    typed: FormData | None = None,
    problems: Mapping[str, str] | None = None,
    sentence: str = "",
) -> EntryPage:
    """The page of a record; after a failed save, with what was typed."""
    entry = entry_of(context.session, context.farm.id, key)
    form = entry_form(context, entry)
    names = form.names
    may = may_change(key.kind, context.office.role)
    shown = form.broken(entry.problems) if problems is None else problems
    return EntryPage(
        kind=kind_name(key.kind, names),
        title=title(entry, names),
        path=f"/log/{key.kind}/{key.id}",
        facts=tuple(_facts(form, context)),
        filled=form.form_fields(typed, shown) if may else (),
        broken=form.faults(entry.problems),
        until_corrected=context.localizer.t(entry.until_corrected),
        voided=entry.voided,
        deleted=context.localizer.t(KEPT_WITH_IT if key.kind in NAMED_ELSEWHERE else NOWHERE),
        may_change=may,
        may_delete=may and key.kind != "farm",
        lines=tuple(_history(context, key)),
        sentence=sentence,
        is_open=typed is not None or bool(entry.problems),
    )


def _facts(form: RecordForm, context: OfficeContext) -> Iterable[Fact]:
    texts = [(context.localizer.t(field.label), form.format(field)) for field in form.fields]
    yield from (Fact(label, text) for label, text in texts if text)
    silent = ", ".join(label for label, text in texts if not text)
    if silent:
        yield Fact(context.localizer.t("Not entered"), silent)


def _history(context: OfficeContext, key: RecordKey) -> Iterable[LogLine]:
    """Every line that whoever asks may see, the latest first."""
    formatter = LineFormatter.at(context)
    lines = history(context.session.connection(), context.farm.id, key)
    seen = [line for line in lines if line.device in formatter.open_logs]
    return log_lines(formatter, without_repeats(seen)[::-1])
