"""The form of one record: its fields as they stand, what was typed into them, and what of that the log shall keep."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from starlette.datastructures import FormData

from server.forms.fields import RULES, Field
from server.forms.row_times import row_changes, stops_shown, stops_text
from server.forms.ways import UnfitError
from server.forms.ways_when import RowTime
from server.forms.ways_which import MOST_STOPS, Stops, StopTyped, stops_typed
from server.forms.words import Words
from server.pages.asked import Choice
from shared_models.fold import whole
from shared_models.records import KINDS, UNITS
from shared_models.reports.entries import Entry

SHOWN_LETTERS, SPARE_STOPS = 200, 1
WAS = "was."
_NO_VALUE: tuple[Any, ...] = ("", None, [])


@dataclass(frozen=True, slots=True)
class Filled:
    """A field of the form as it is shown. `was` is what the page was made with: what differs is written."""

    name: str
    label: str
    control: str
    inputmode: str
    text: str
    was: str
    unit: str
    hint: str
    needed: bool
    choices: tuple[Choice, ...]
    #: what the choice of nothing is called
    nothing: str
    stops: tuple[StopTyped, ...] = ()
    problem: str = ""


@dataclass(frozen=True, slots=True)
class Changes:
    """What a form asks for: the fields that a line has to set, or why they cannot be, by field."""

    fields: Mapping[str, Any]
    problems: Mapping[str, str]


class Sheet:
    """A form on an entry. `fields` are those of its kind that whoever asks may see."""

    def __init__(self, entry: Entry, fields: Sequence[Field], words: Words) -> None:
        self.entry, self.fields, self.words = entry, fields, words

    def value(self, field: Field) -> Any:
        """What is stored; of a row's start and end, what its clock says."""
        if isinstance(field.way, RowTime):
            return self.entry.told(field.way.which)
        told = self.entry.fields.get(field.name)
        if told is None and not self.entry.fields:
            return _default(self.entry.key.kind, field.name)
        return told

    def text(self, field: Field) -> str:
        """What stands in its input."""
        value = self.value(field)
        if value in _NO_VALUE:
            return ""
        if isinstance(field.way, Stops):
            return stops_text(stops_shown(self.entry, self.words.speech))
        return _or_raw(lambda: field.way.text(value, self.words), value)

    def said(self, field: Field) -> str:
        """What people read; empty where nothing is told."""
        value = self.value(field)
        return "" if value in _NO_VALUE else _or_raw(lambda: field.way.said(value, self.words), value)

    def filled(self, typed: FormData | None = None, problems: Mapping[str, str] | None = None) -> list[Filled]:
        """The fields as they are shown: as they stand, or as they were typed."""
        told = problems or {}
        return [self._filled(field, typed, told.get(field.name, "")) for field in self.fields]

    def _filled(self, field: Field, typed: FormData | None, problem: str) -> Filled:
        was = self.text(field) if typed is None else _one(typed, WAS + field.name)
        text = was if typed is None else typed_text(typed, field)
        return Filled(
            name=field.name,
            label=self.words.speech.say(field.label),
            control=field.way.control,
            inputmode=field.way.inputmode,
            text=text,
            was=was,
            unit=field.way.unit(self.words),
            hint=self.words.speech.say(field.hint),
            needed=field.needed,
            choices=tuple(self._choices(field, text)),
            nothing=self.words.speech.say("not told"),
            stops=(*stops_typed(text), *([StopTyped("", "", "")] * SPARE_STOPS))
            if field.way.control == "stops"
            else (),
            problem=problem,
        )

    def _choices(self, field: Field, text: str) -> Iterable[Choice]:
        several = field.way.control == "several"
        chosen = text.split() if several else [text]
        told = chosen if several else text
        return (each._replace(chosen=each.value in chosen) for each in field.way.choices(told, self.words))

    def changes(self, typed: FormData) -> Changes:
        """What was typed that differs from what the page had shown."""
        kept: dict[str, Any] = {}
        problems: dict[str, str] = {}
        for field in self.fields:
            text = typed_text(typed, field)
            if text == _one(typed, WAS + field.name):
                continue
            try:
                kept[field.name] = self._read(field, text)
            except UnfitError as unfit:
                problems[field.name] = str(unfit)
        if problems:
            return Changes({}, problems)
        return Changes(whole(self._with_times(kept), self.entry.fields, UNITS.get(self.entry.key.kind, {})), {})

    def missing(self, typed: FormData) -> dict[str, str]:
        """What a record that is not there yet must be told."""
        empty = [field.name for field in self.fields if field.needed and not typed_text(typed, field)]
        return dict.fromkeys(empty, self.words.speech.say("this cannot be left empty"))

    def _with_times(self, kept: dict[str, Any]) -> dict[str, Any]:
        """The same with both clocks of a row's times."""
        times = {way.which: kept[name] for name, way in self._row_times() if name in kept}
        if not times and "stops" not in kept:
            return kept
        rest = {
            name: value for name, value in kept.items() if name not in {"stops", *(n for n, _ in self._row_times())}
        }
        return rest | row_changes(self.entry, times, kept.get("stops"), self.words.speech)

    def _row_times(self) -> list[tuple[str, RowTime]]:
        return [(field.name, field.way) for field in self.fields if isinstance(field.way, RowTime)]

    def _read(self, field: Field, text: str) -> Any:
        if text:
            return field.way.read(text, self.words)
        if field.needed:
            raise UnfitError(self.words.speech.say("this cannot be left empty"))
        return None

    def broken(self, problems: Mapping[str, str], typed: FormData | None = None) -> dict[str, str]:
        """The rules that the record breaks, each beside its field and with what to do; "" is beside none of them."""
        fields = {field.name: field for field in self.fields}
        told: dict[str, str] = {}
        for name, reason in problems.items():
            place = RULES.get(reason, name.partition(".")[0])
            say = self.words.speech.say
            if reason in RULES:
                told[place] = say(reason)
            elif place in fields:
                told[place] = self._fault(fields[place], typed) or say("this cannot be so")
            else:
                told[""] = say("{field} cannot be so", field=place.replace("_", " "))
        return told

    def faults(self, problems: Mapping[str, str]) -> tuple[str, ...]:
        """The same in sentences of their own, each with the name of its field."""
        labels = {field.name: self.words.speech.say(field.label) for field in self.fields}
        broken = self.broken(problems).items()
        return tuple(f"{labels[name]}: {reason}" if name in labels else reason for name, reason in broken)

    def _fault(self, field: Field, typed: FormData | None) -> str:
        try:
            self._read(field, self.text(field) if typed is None else typed_text(typed, field))
        except UnfitError as unfit:
            return str(unfit)
        return ""


def typed_text(typed: FormData, field: Field) -> str:
    """What was typed into a field, as one text."""
    if isinstance(field.way, Stops):
        parts = ("reason", "began", "ended")
        return stops_text(
            [
                StopTyped(*(_one(typed, f"{field.name}.{place}.{part}") for part in parts))
                for place in range(MOST_STOPS + SPARE_STOPS)
            ]
        )
    told = [each for each in typed.getlist(field.name) if isinstance(each, str)]
    return " ".join(told).replace("\r\n", "\n").strip()


def _one(typed: FormData, name: str) -> str:
    told = typed.get(name)
    return told.replace("\r\n", "\n").strip() if isinstance(told, str) else ""


def _default(kind: str, name: str) -> Any:
    field = KINDS[kind].model_fields[name]
    return None if field.is_required() else field.get_default(call_default_factory=True)


def _or_raw(told: Callable[[], str], value: Any) -> str:
    """A value in words; one that cannot be said, as it stands in the log."""
    try:
        return told()
    except (ValueError, TypeError, KeyError, AttributeError, ArithmeticError):
        return json.dumps(value, ensure_ascii=False, default=str)[:SHOWN_LETTERS]
