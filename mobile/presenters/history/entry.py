"""One entry: everything it tells, each thing to be touched and corrected, and below it what became of it so far."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from mobile.device.haptics import Pulse
from mobile.presenters.base.form import NOTHING_TOLD
from mobile.presenters.base.options import Option
from mobile.presenters.base.presenter import Kit, Presenter
from mobile.presenters.base.routes import Place
from mobile.presenters.history.entry_titles import EntryWords, field_name
from mobile.presenters.history.fields import SILENT, field_of, fields_of, in_words
from mobile.presenters.sync.status import Held
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
    """One entry in words. `void` is what the button at the foot does."""

    kind: str
    title: str
    told: Held
    fields: tuple[Option, ...]
    history: str
    lines: tuple[HistoryLine, ...]
    back: str
    void: str
    void_sign: str


class EntryPresenter(Presenter):
    """A record, by its kind and id."""

    def __init__(self, kit: Kit, kind: str, record: str) -> None:
        super().__init__(kit)
        self._key = RecordKey(kind, record)
        self.read()

    def read(self) -> None:
        """Fold it from its lines, and look at each of them."""
        farm = self.kit.notebook.farm
        with self.kit.notebook.reading() as session:
            self._entry = entries.entry_of(session, farm, self._key)
            self._lines = history_of(self._key, history(session.connection(), farm, self._key))
            self._names = entries.names_in(session, farm, self._values())
        self._words = EntryWords(self.kit, self._names)

    def _values(self) -> Iterator[object]:
        """Everything that may be an id."""
        yield from (self._key.id, *self._entry.fields.values())
        for line in self._lines:
            yield line.by
            yield from (value for change in line.changes for value in (change.before, change.after))

    # what a tap means

    def pick(self, field: str) -> None:
        """Correct something."""
        self.kit.ways.go(Place.FIELD, kind=self._key.kind, record=self._key.id, field=field)

    def void(self) -> None:
        """Take it out of every list and report, or bring it back."""
        self.kit.notebook.correct(*self._key, {"voided": not self._entry.voided})
        say = self.kit.speech.say
        self.kit.feel(Pulse.UNDO, say("put back") if self._entry.voided else say("deleted"))

    def back(self) -> None:
        """To the list."""
        self.kit.ways.back()

    # what is shown

    @property
    def view(self) -> EntryView:
        """The entry in words."""
        say, entry = self.kit.speech.say, self._entry
        one, _ = KIND_NAMES.get(self._key.kind, (self._key.kind, ""))
        return EntryView(
            kind=f"{say(one)} · {self._day()}",
            title=self._words.title(entry),
            told=self._told(),
            fields=tuple(
                Option(told.field.key, say(told.field.label), in_words(told), "✎")
                for told in fields_of(self.kit, self._names, entry)
            ),
            history=say("History"),
            lines=tuple(self._history()),
            back=say("Back"),
            void=say("Put back") if entry.voided else say("Delete"),
            void_sign="↶" if entry.voided else "✕",
        )

    def _day(self) -> str:
        day = self._words.day(self._entry)
        return self.kit.speech.day(day, self.kit.today()) if day else self.kit.speech.say("Day not known").lower()

    def _told(self) -> Held:
        say = self.kit.speech.say
        if self._entry.voided:
            return Held("✕", say("Deleted: it is in no list and no report."), "caution")
        if self._entry.problems:
            reason = self._words.broken(self._entry)
            return Held("▲", say("In no report until it is corrected: {reason}.", reason=reason), "caution")
        return NOTHING_TOLD

    def _history(self) -> Iterator[HistoryLine]:
        """The last line first. A line that changed nothing people see is left out."""
        told = [line for line in reversed(self._lines) if line.first or self._visible(line)]
        for line in told[:MOST_LINES]:
            yield HistoryLine(self._when(line), "\n".join(self._what(line)))
        if len(told) > MOST_LINES:
            earlier = len(told) - MOST_LINES
            yield HistoryLine(self.kit.speech.count("and {n} earlier line", "and {n} earlier lines", earlier), "")

    def _visible(self, line: Written) -> list[FieldChange]:
        return [change for change in line.changes if change.field not in SILENT]

    def _when(self, line: Written) -> str:
        """When, as far as the line tells; who, and on which phone."""
        speech, now = self.kit.speech, self.kit.notebook.now().at
        at = speech.moment(line.at, now)
        own = line.device in (self.kit.notebook.setting("own_devices") or ())
        where = speech.say("this phone") if own else speech.say("another phone or the office")
        person = self._names.people.get(line.by or "")
        who = f"{person.name}, {where}" if person else where
        return f"{at if line.exact else speech.say('{when} or before', when=at)} · {who}"

    def _what(self, line: Written) -> Iterator[str]:
        say = self.kit.speech.say
        if line.first:
            yield say("Written down:")
        before = Entry(self._key, {change.field: change.before for change in line.changes})
        after = Entry(self._key, {change.field: change.after for change in line.changes})
        for change in self._visible(line):
            if change.field == "voided":
                yield say("Deleted") if change.after else say("Put back")
                continue
            name = field_name(self.kit.speech, self._key.kind, change.field)
            was, now = (self._value(entry, change.field) for entry in (before, after))
            yield f"{name}: {now}" if change.before is None else f"{name}: {was} → {now}"

    def _value(self, entry: Entry, name: str) -> str:
        told = field_of(self.kit, self._names, entry, name)
        return in_words(told) if told is not None else str(entry.fields[name])
