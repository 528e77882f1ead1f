"""What the log of changes shows: which line did what to which record, by whom, when, and in which log it stands."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import NamedTuple
from urllib.parse import urlencode

from server.office.forms.fields import fields_of
from server.office.forms.record_form import RecordForm
from server.office.forms.titles import entries_of, kind_name, title
from server.office.log.lines import LineFormatter, LogLine, log_lines, names_for
from server.office.shell.context import OfficeContext
from server.office.shell.view import Choice
from shared_models.core.revision import Revision
from shared_models.log.projection import RecordKey
from shared_models.reports.audit import entries
from shared_models.reports.audit.changes import ChangeFilter, Position, newest_changes
from shared_models.reports.audit.entries import KIND_NAMES

LIMIT, MOST_FLAGGED = 50, 50
NOBODY = "nobody"


@dataclass(frozen=True, slots=True)
class LogFilter:
    """What the address asks about; None is any."""

    kind: str | None = None
    person: str | None = None
    phone: str | None = None
    day: date | None = None
    text: str | None = None
    before: Position | None = None

    def address(self, before: Position | None = None) -> str:
        values = {"kind": self.kind, "person": self.person, "phone": self.phone, "day": self.day, "text": self.text}
        pairs = [(name, str(value)) for name, value in (values | {"before": before}).items() if value]
        return f"/log?{urlencode(pairs)}" if pairs else "/log"


class Flag(NamedTuple):
    """A record that breaks a rule."""

    kind: str
    title: str
    link: str
    reasons: tuple[str, ...]
    until_corrected: str


@dataclass(frozen=True, slots=True)
class LogPage:
    """Everything on the page."""

    flagged: tuple[Flag, ...]
    lines: tuple[LogLine, ...]
    older: str
    newest: str
    looked_at: str
    asked: LogFilter
    kinds: tuple[Choice, ...]
    people: tuple[Choice, ...]
    phones: tuple[Choice, ...]
    any_asked: bool


def log_page(context: OfficeContext, asked: LogFilter) -> LogPage:
    """The matching lines, newest first."""
    formatter = LineFormatter.at(context)
    logs = [head for head in formatter.logs if asked.phone in (None, head.device)]
    found = newest_changes(context.session.connection(), logs, _wanted(context, asked, formatter), LIMIT, asked.before)
    begun = asked.before is None and not _any(asked)
    return LogPage(
        flagged=tuple(_flagged(context)) if begun else (),
        lines=tuple(log_lines(formatter, found.lines, together=True)),
        older=asked.address(found.older) if found.older else "",
        newest=asked.address() if asked.before else "",
        looked_at=context.localizer.number(found.looked_at) if found.older and len(found.lines) < LIMIT else "",
        asked=asked,
        kinds=tuple(
            Choice(kind, context.localizer.t(many), kind == asked.kind) for kind, (_, many) in KIND_NAMES.items()
        ),
        people=tuple(_people(context, formatter, asked)),
        phones=tuple(_phones(formatter, asked)),
        any_asked=_any(asked),
    )


def _any(asked: LogFilter) -> bool:
    return any((asked.kind, asked.person, asked.phone, asked.day, asked.text))


def _wanted(context: OfficeContext, asked: LogFilter, formatter: LineFormatter) -> ChangeFilter:
    since = until = None
    if asked.day:
        since, until = (_midnight(context, asked.day + timedelta(days=days)) for days in (0, 1))
    return ChangeFilter(
        kind=asked.kind,
        by="" if asked.person == NOBODY else asked.person,
        since=since,
        until=until,
        also=_with_text(context, formatter, asked.text) if asked.text else None,
    )


def _midnight(context: OfficeContext, day: date) -> datetime:
    return datetime.combine(day, time(), context.farm.zone)


def _with_text(
    context: OfficeContext, formatter: LineFormatter, text: str
) -> Callable[[Sequence[Revision]], Iterable[Revision]]:
    wanted = text.casefold()

    def among(lines: Sequence[Revision]) -> Iterable[Revision]:
        records = entries_of(context.session, context.farm.id, {RecordKey(line.kind, line.record) for line in lines})
        names = names_for(context.session, context.farm.id, context.localizer, records.values())
        called = {key: title(entry, names).casefold() for key, entry in records.items()}
        for line in lines:
            hidden = formatter.hidden(line.kind)
            said = (str(value) for name, value in line.set.items() if name not in hidden)
            if wanted in called.get(RecordKey(line.kind, line.record), "") or any(
                wanted in each.casefold() for each in said
            ):
                yield line

    return among


def _flagged(context: OfficeContext) -> Iterable[Flag]:
    found = entries.flagged(context.session, context.farm.id, MOST_FLAGGED)
    names = names_for(context.session, context.farm.id, context.localizer, found)
    for entry in found:
        sheet = RecordForm(entry, fields_of(entry.key.kind, context.office.role), names)
        link = f"/log/{entry.key.kind}/{entry.key.id}"
        until = context.localizer.t(entry.until_corrected)
        yield Flag(kind_name(entry.key.kind, names), title(entry, names), link, sheet.faults(entry.problems), until)


def _people(context: OfficeContext, formatter: LineFormatter, asked: LogFilter) -> Iterable[Choice]:
    for person, name in sorted(formatter.people.items(), key=lambda each: (each[1].casefold(), each[0])):
        yield Choice(person, name, person == asked.person)
    yield Choice(NOBODY, context.localizer.t("no name entered"), asked.person == NOBODY)


def _phones(formatter: LineFormatter, asked: LogFilter) -> Iterable[Choice]:
    named = sorted((formatter.phone(head.device), head.device) for head in formatter.logs if head.seq)
    return (Choice(device, name, device == asked.phone) for name, device in named)
