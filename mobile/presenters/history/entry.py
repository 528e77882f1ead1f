"""One entry: its fields, each to be touched and corrected, and below them its history."""

from collections.abc import Iterator
from dataclasses import dataclass

from mobile.device.haptics.protocol import Haptic
from mobile.presenters.base.form import NO_NOTICE
from mobile.presenters.base.options import Notice, Option
from mobile.presenters.base.presenter import AppContext, Presenter
from mobile.presenters.base.routes import Route
from mobile.presenters.history.entry_titles import EntryTitles
from mobile.presenters.history.fields import SILENT, entry_field, entry_fields, field_name, format_field
from shared_models.log.projection import RecordKey, history
from shared_models.reports.audit import entries
from shared_models.reports.audit.entries import KIND_NAMES, Entry
from shared_models.reports.audit.history import FieldChange, Written, history_of

#: lines of a record that are shown; a record seldom has more
MOST_LINES = 40


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """When and by whom, and what it did."""

    when: str
    what: str


@dataclass(frozen=True, slots=True)
class EntryView:
    """One entry. `void` is what the button at the foot does."""

    kind: str
    title: str
    notice: Notice
    fields: tuple[Option, ...]
    history: str
    lines: tuple[HistoryLine, ...]
    back: str
    void: str
    void_sign: str


class EntryPresenter(Presenter):
    """A record, by its kind and id."""

    def __init__(self, context: AppContext, kind: str, record: str) -> None:
        super().__init__(context)
        self._key = RecordKey(kind, record)
        self.read()

    def read(self) -> None:
        farm = self.context.notebook.farm
        with self.context.notebook.reading() as session:
            self._entry = entries.entry_of(session, farm, self._key)
            self._lines = history_of(self._key, history(session.connection(), farm, self._key))
            self._names = entries.names_in(session, farm, self._values())
        self._titles = EntryTitles(self.context, self._names)

    def _values(self) -> Iterator[object]:
        """Everything that may be an id."""
        yield from (self._key.id, *self._entry.fields.values())
        for line in self._lines:
            yield line.by
            yield from (value for change in line.changes for value in (change.before, change.after))

    # what a tap means

    def pick(self, field: str) -> None:
        self.context.navigator.go(Route.FIELD, kind=self._key.kind, record=self._key.id, field=field)

    def void(self) -> None:
        self.context.notebook.correct(*self._key, {"voided": not self._entry.voided})
        self.context.feedback(Haptic.UNDO, self.t("put back") if self._entry.voided else self.t("deleted"))

    # what is shown

    @property
    def view(self) -> EntryView:
        t, entry = self.t, self._entry
        one, _ = KIND_NAMES.get(self._key.kind, (self._key.kind, ""))
        return EntryView(
            kind=f"{t(one)} · {self._day()}",
            title=self._titles.title(entry),
            notice=self._notice(),
            fields=tuple(
                Option(each.field.key, t(each.field.label), format_field(each), "✎")
                for each in entry_fields(self.context, self._names, entry)
            ),
            history=t("History"),
            lines=tuple(self._history()),
            back=t("Back"),
            void=t("Put back") if entry.voided else t("Delete"),
            void_sign="↶" if entry.voided else "✕",
        )

    def _day(self) -> str:
        day = self._titles.day(self._entry)
        return self.localizer.day(day, self.context.today()) if day else self.t("Day unknown").lower()

    def _notice(self) -> Notice:
        if self._entry.voided:
            return Notice("✕", self.t("Deleted: not in any list or report."), "caution")
        if self._entry.problems:
            reason = self._titles.broken(self._entry)
            return Notice("▲", f"{self.t(self._entry.until_corrected)} {reason[:1].upper()}{reason[1:]}.", "caution")
        return NO_NOTICE

    def _history(self) -> Iterator[HistoryLine]:
        """The last line first. A line that changed nothing people see is left out."""
        lines = [line for line in reversed(self._lines) if line.first or self._visible(line)]
        for line in lines[:MOST_LINES]:
            yield HistoryLine(self._when(line), "\n".join(self._what(line)))
        if len(lines) > MOST_LINES:
            earlier = len(lines) - MOST_LINES
            yield HistoryLine(self.localizer.tn("and {n} earlier line", "and {n} earlier lines", earlier), "")

    def _visible(self, line: Written) -> list[FieldChange]:
        return [change for change in line.changes if change.field not in SILENT]

    def _when(self, line: Written) -> str:
        localizer, now = self.localizer, self.context.notebook.now().at
        at = localizer.moment(line.at, now)
        own = line.device in (self.context.notebook.setting("own_devices") or ())
        where = localizer.t("this phone") if own else localizer.t("another phone or the office")
        person = self._names.people.get(line.by or "")
        who = f"{person.name}, {where}" if person else where
        return f"{at if line.exact else localizer.t('{when} or before', when=at)} · {who}"

    def _what(self, line: Written) -> Iterator[str]:
        if line.first:
            yield self.t("Written down:")
        before = Entry(self._key, {change.field: change.before for change in line.changes})
        after = Entry(self._key, {change.field: change.after for change in line.changes})
        for change in self._visible(line):
            if change.field == "voided":
                yield self.t("Deleted") if change.after else self.t("Put back")
                continue
            name = field_name(self.localizer, self._key.kind, change.field)
            was, now = (self._value(entry, change.field) for entry in (before, after))
            yield f"{name}: {now}" if change.before is None else f"{name}: {was} → {now}"

    def _value(self, entry: Entry, name: str) -> str:
        context = entry_field(self.context, self._names, entry, name)
        return str(entry.fields[name]) if context is None else format_field(context)
