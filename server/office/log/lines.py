"""Log lines as people read them: which line did what to which record, by whom, when, and where it stands."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from itertools import groupby
from typing import NamedTuple, Self

from sqlalchemy import select
from sqlmodel import Session

from server.db.tables import Device, DeviceKind
from server.farms.undo_phone import UNDO
from server.office.forms.fields import fields_of
from server.office.forms.limits import format_limit, label_when_unset, limit_label, limits_in
from server.office.forms.names import RecordNames
from server.office.forms.record_form import RecordForm
from server.office.forms.titles import IN_TITLES, brief, entries_of, kind_name, title
from server.office.shell.context import OfficeContext
from server.render.localizer import Localizer
from shared_models.core.revision import Revision
from shared_models.core.vocabulary import Role
from shared_models.fields.catalog import OFFICE_ONLY
from shared_models.log import log
from shared_models.log.projection import RecordKey
from shared_models.records.tables import Person, table_of
from shared_models.reports.audit.changes import describe_lines
from shared_models.reports.audit.entries import Entry, names_in
from shared_models.reports.audit.history import FieldChange, Written

#: the year 2200
_LATEST_MS = 7_258_118_400_000
_DEVICE, _PERSON = table_of(Device).c, table_of(Person).c


class Changed(NamedTuple):
    """One field as text; without `before` it was entered for the first time."""

    label: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class LogLine:
    """One line of a log as text, with a `sentence` if fields would say less."""

    kind: str
    title: str
    link: str
    when: str
    who: str
    where: str
    sentence: str
    changes: tuple[Changed, ...]
    #: where one action wrote several lines: those lines, and this one speaks of all
    parts: tuple["LogLine", ...] = ()


class LineFormatter:
    """Formats log lines for a reader of some role: who, when, in which log, and what changed."""

    def __init__(self, session: Session, farm: str, localizer: Localizer, role: Role) -> None:
        self.session, self.farm = session, farm
        self.localizer, self.t, self.role = localizer, localizer.t, role
        connection = session.connection()
        named = connection.execute(select(_DEVICE.id, _DEVICE.name, _DEVICE.kind).where(_DEVICE.farm_id == farm))
        self._devices = {row.id: (row.name, row.kind) for row in named}
        private = role is Role.OWNER
        self.logs = [head for head in log.heads(connection, farm) if private or not head.private]
        self.open_logs = {head.device for head in self.logs}
        people = connection.execute(select(_PERSON.id, _PERSON.name).where(_PERSON.farm_id == farm))
        self.people: dict[str, str] = {row.id: row.name for row in people}

    @classmethod
    def at(cls, context: OfficeContext) -> Self:
        return cls(context.session, context.farm.id, context.localizer, context.office.role)

    def hidden(self, kind: str) -> frozenset[str]:
        return frozenset() if self.role is Role.OWNER else OFFICE_ONLY.get(kind, frozenset())

    def is_office(self, device: str) -> bool:
        return bool(self._devices.get(device, ("", DeviceKind.PHONE))[1] != DeviceKind.PHONE)

    def phone(self, device: str) -> str:
        """Whose log a line stands in."""
        name, kind = self._devices.get(device, ("", DeviceKind.PHONE))
        if kind == DeviceKind.OFFICE:
            return self.t("the office")
        if kind == DeviceKind.PRIVATE:
            return self.t("the office, for owners only")
        return name or self.t("a phone that never synced here ({id})", id=device[-6:])

    def who(self, by: str | None) -> str:
        if by is None:
            return self.t("no name entered")
        return self.people.get(by) or self.t("unknown person")

    def when(self, line: Written) -> str:
        """When, as far as the line tells."""
        at = self.localizer.date_time(line.at)
        return at if line.exact else self.t("{at} or before", at=at)

    def changes(self, line: Written, stands: Entry | None, names: RecordNames) -> tuple[str, tuple[Changed, ...]]:
        """What a line did: in a sentence where it deleted or put back, and field by field."""
        before = Entry(line.key, {change.field: change.before for change in line.changes})
        after = Entry(line.key, {change.field: change.after for change in line.changes})
        fields = {field.name: field for field in fields_of(line.key.kind, self.role)}
        was, now = (RecordForm(entry, tuple(fields.values()), names) for entry in (before, after))
        sentence, changed = self.t("written down") if line.first else "", list[Changed]()
        for change in line.changes:
            if change.field in self.hidden(line.key.kind) or _in_the_title(line, change, stands):
                continue
            if change.field == "voided":
                sentence = self._voided(change, line)
            elif change.field in ("thresholds", "prices"):
                changed += self._limits(change, names)
            elif change.field in fields:
                field = fields[change.field]
                changed.append(
                    Changed(self.t(field.label), *self._values(change, was.format(field), now.format(field)))
                )
            else:
                values = ("" if value is None else str(value)[:200] for value in (change.before, change.after))
                changed.append(Changed(change.field.replace("_", " "), *self._values(change, *values)))
        return sentence, tuple(each for each in changed if each.before or each.after)

    def _limits(self, change: FieldChange, names: RecordNames) -> Iterable[Changed]:
        before, after = limits_in(change.before), limits_in(change.after)
        for name in sorted({*before, *after}):
            if before.get(name) != after.get(name):
                texts = [format_limit(name, each[name], names) if name in each else "" for each in (before, after)]
                nothing = self.t(label_when_unset(name))
                yield Changed(limit_label(name, names), texts[0] or nothing, texts[1] or nothing)

    def _voided(self, change: FieldChange, line: Written) -> str:
        if line.first and not change.after:
            return self.t("written down")
        return self.t("deleted") if change.after else self.t("put back")

    def _values(self, change: FieldChange, before: str, after: str) -> tuple[str, str]:
        nothing = self.t("not entered")
        return ("", brief(after)) if change.before is None else (brief(before) or nothing, brief(after) or nothing)


def _in_the_title(line: Written, change: FieldChange, stands: Entry | None) -> bool:
    same = stands is not None and str(stands.fields.get(change.field)) == str(change.after)
    return line.first and same and change.field in IN_TITLES.get(line.key.kind, ())


def names_for(
    session: Session, farm: str, localizer: Localizer, records: Iterable[Entry], written: Iterable[Written] = ()
) -> RecordNames:
    """The names of everything that these records and lines refer to."""
    values = [value for entry in records for value in (entry.key.id, *entry.fields.values())]
    values += [value for line in written for change in line.changes for value in (change.before, change.after)]
    return RecordNames(localizer, names_in(session, farm, values))


def log_lines(formatter: LineFormatter, lines: Sequence[Revision], *, together: bool = False) -> Iterable[LogLine]:
    """Log lines as people read them; those of one action of the office `together` as one."""
    session, farm = formatter.session, formatter.farm
    done = describe_lines(session.connection(), farm, lines, formatter.open_logs)
    records = entries_of(session, farm, {RecordKey(line.kind, line.record) for line in lines})
    names = names_for(session, farm, formatter.localizer, records.values(), done.values())
    for action, group in groupby(lines, key=lambda line: _action(line) if formatter.is_office(line.device) else None):
        shown = [
            _log_line(formatter, done[line.device, line.seq], records, names)
            for line in group
            if line.set.keys() - formatter.hidden(line.kind)
        ]
        yield from [_undo_line(formatter, action, shown)] if together and action and shown else shown


def _action(line: Revision) -> tuple[str, int, int] | None:
    """Of a line that undoes what a phone sent: the phone, since when, and when it was undone."""
    undo = line.more.get(UNDO)
    values = (undo.get("phone"), undo.get("since"), undo.get("at")) if isinstance(undo, dict) else ()
    match values:
        case (str() as phone, int() as since, int() as at) if max(abs(since), abs(at)) < _LATEST_MS:
            return phone, since, at
    return None


def _undo_line(formatter: LineFormatter, action: tuple[str, int, int], parts: Sequence[LogLine]) -> LogLine:
    phone, since, _ = action
    t, at = formatter.t, formatter.localizer.date_time(datetime.fromtimestamp(since / 1000, UTC))
    return replace(
        parts[0],
        kind=t("Undone"),
        title=t("what {name} sent since {at}", name=formatter.phone(phone), at=at),
        link=f"/log?phone={phone}",
        sentence="",
        changes=(),
        parts=tuple(parts),
    )


def _log_line(
    formatter: LineFormatter, written: Written, records: Mapping[RecordKey, Entry], names: RecordNames
) -> LogLine:
    key = written.key
    entry = records.get(key)
    sentence, changes = formatter.changes(written, entry, names)
    return LogLine(
        kind=kind_name(key.kind, names),
        title=title(entry, names) if entry else "",
        link=f"/log/{key.kind}/{key.id}",
        when=formatter.when(written),
        who=formatter.who(written.by),
        where=formatter.phone(written.device),
        sentence=sentence or ("" if changes else names.localizer.t("no visible change")),
        changes=changes,
    )
