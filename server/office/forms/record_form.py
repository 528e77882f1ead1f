"""The form of one record: its fields with their texts, and the changes that a sent form asks for."""

import json
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from starlette.datastructures import FormData

from server.office.forms.field_kinds_dates import RowTime
from server.office.forms.field_kinds_refs import MOST_STOPS, Stops, StopTyped, stops_typed
from server.office.forms.fields import Field
from server.office.forms.names import RecordNames
from server.office.forms.parse_numbers import FieldError
from server.office.forms.row_times import row_changes, stops_shown, stops_text
from server.office.shell.view import Choice
from shared_models.core.fold import whole
from shared_models.fields import catalog
from shared_models.lazy_message import LazyMessage
from shared_models.records.models import UNITS
from shared_models.records.problems import field_beside, is_rule
from shared_models.reports.audit.entries import Entry

SHOWN_LETTERS, SPARE_STOPS = 200, 1
WAS = "was."
_TO_THE_MINUTE = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d")
_NO_VALUE: tuple[Any, ...] = ("", None, [])


@dataclass(frozen=True, slots=True)
class FormField:
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
    #: the label of no choice
    nothing: str
    stops: tuple[StopTyped, ...] = ()
    problem: str = ""


@dataclass(frozen=True, slots=True)
class Changes:
    """What a form asks for: the fields that a line has to set, or why they cannot be, by field."""

    fields: Mapping[str, Any]
    problems: Mapping[str, str]


class RecordForm:
    """A form on an entry. `fields` are those of its kind that whoever asks may see."""

    def __init__(self, entry: Entry, fields: Sequence[Field], names: RecordNames) -> None:
        self.entry, self.fields, self.names = entry, fields, names

    def value(self, field: Field) -> Any:
        """What is stored; of a row's start and end, what its clock says."""
        if isinstance(field.kind, RowTime):
            return self.entry.corrected(field.kind.which)
        if not self.entry.fields:
            return catalog.fields_of(self.entry.key.kind)[field.name].default
        return self.entry.fields.get(field.name)

    def text(self, field: Field) -> str:
        value = self.value(field)
        if value in _NO_VALUE:
            return ""
        if isinstance(field.kind, Stops):
            return stops_text(stops_shown(self.entry, self.names.localizer))
        return _or_raw(lambda: field.kind.to_text(value, self.names), value)

    def format(self, field: Field) -> str:
        value = self.value(field)
        return "" if value in _NO_VALUE else _or_raw(lambda: field.kind.format(value, self.names), value)

    def form_fields(
        self, typed: FormData | None = None, problems: Mapping[str, str] | None = None
    ) -> tuple[FormField, ...]:
        return tuple(self._form_field(field, typed, (problems or {}).get(field.name, "")) for field in self.fields)

    def _form_field(self, field: Field, typed: FormData | None, problem: str) -> FormField:
        t, was = self.names.localizer.t, self.text(field)
        text = was if typed is None or not _touched(typed, field) else typed_text(typed, field)
        has_stops = isinstance(field.kind, Stops)
        return FormField(
            name=field.name,
            label=t(field.label),
            control=field.kind.control,
            inputmode=field.kind.inputmode,
            text=text,
            was=was,
            unit=field.kind.unit(self.names),
            hint=t(field.hint),
            needed=field.needed,
            choices=tuple(self._choices(field, text)),
            nothing=t("choose one" if field.needed else "not entered"),
            stops=(*stops_typed(text), *([StopTyped("", "", "")] * SPARE_STOPS)) if has_stops else (),
            problem=problem,
        )

    def _choices(self, field: Field, text: str) -> Iterable[Choice]:
        several = field.kind.control == "several"
        chosen = text.split() if several else [text]
        choices = field.kind.choices(chosen if several else text, self.names)
        return (each._replace(chosen=each.value in chosen) for each in choices)

    def changes(self, typed: FormData) -> Changes:
        """What was typed that differs from what the page had shown, and from what stands there now."""
        kept: dict[str, Any] = {}
        problems: dict[str, str] = {}
        for field in self.fields:
            text, stands = typed_text(typed, field), _plain(self.text(field))
            if not _touched(typed, field) or _same(field, text, stands):
                continue
            try:
                kept[field.name] = self._parse(field, text)
                if not _same(field, _one(typed, WAS + field.name), stands):
                    problems[field.name] = overtaken(self.format(field), self.names)
            except FieldError as unfit:
                problems[field.name] = str(unfit)
        if problems:
            return Changes({}, problems)
        return Changes(whole(self._with_times(kept), self.entry.fields, UNITS.get(self.entry.key.kind, {})), {})

    def missing(self, typed: FormData) -> dict[str, str]:
        empty = [field.name for field in self.fields if field.needed and not typed_text(typed, field)]
        return dict.fromkeys(empty, self.names.localizer.t("this cannot be left empty"))

    def _with_times(self, kept: dict[str, Any]) -> dict[str, Any]:
        """The same with both clocks of a row's times."""
        by_name = {field.name: field.kind.which for field in self.fields if isinstance(field.kind, RowTime)}
        times = {which: kept[name] for name, which in by_name.items() if name in kept}
        if not times and "stops" not in kept:
            return kept
        rest = {name: value for name, value in kept.items() if name != "stops" and name not in by_name}
        return rest | row_changes(self.entry, times, kept.get("stops"), self.names.localizer)

    def _parse(self, field: Field, text: str) -> Any:
        if text:
            return field.kind.parse(text, self.names)
        if field.needed:
            raise FieldError(self.names.localizer.t("this cannot be left empty"))
        return None

    def broken(self, problems: Mapping[str, LazyMessage], typed: FormData | None = None) -> dict[str, str]:
        """The rules that the record breaks, each beside its field and with what to do; "" is beside none of them."""
        fields = {field.name: field for field in self.fields}
        found: dict[str, str] = {}
        for name, reason in problems.items():
            place = field_beside(name, reason)
            t = self.names.localizer.t
            if is_rule(reason):
                found[place] = self.names.localizer.t_lazy(reason)
            elif place in fields:
                found[place] = self._fault(fields[place], typed) or t("this cannot be right")
            else:
                found[""] = t("{field} cannot be right", field=place.replace("_", " "))
        return found

    def faults(self, problems: Mapping[str, LazyMessage]) -> tuple[str, ...]:
        """The same in sentences of their own, each with the name of its field."""
        labels = {field.name: self.names.localizer.t(field.label) for field in self.fields}
        broken = self.broken(problems).items()
        return tuple(f"{labels[name]}: {reason}" if name in labels else reason for name, reason in broken)

    def _fault(self, field: Field, typed: FormData | None) -> str:
        try:
            self._parse(field, self.text(field) if typed is None else typed_text(typed, field))
        except FieldError as unfit:
            return str(unfit)
        return ""


def overtaken(value: str, names: RecordNames) -> str:
    """Why what was typed is not written over what somebody else wrote after the page was opened."""
    t = names.localizer.t
    return t("someone else changed this to: {value}. Save again to keep yours", value=value or t("not entered"))


def _touched(typed: FormData, field: Field) -> bool:
    return not _same(field, typed_text(typed, field), _one(typed, WAS + field.name))


def _same(field: Field, one: str, other: str) -> bool:
    if field.kind.control == "several":
        return set(one.split()) == set(other.split())
    return one == other


def typed_text(typed: FormData, field: Field) -> str:
    """What was typed into a field, as one text."""
    if isinstance(field.kind, Stops):
        parts = ("reason", "began", "ended")
        return stops_text(
            [
                StopTyped(*(_to_the_second(_one(typed, f"{field.name}.{place}.{part}")) for part in parts))
                for place in range(MOST_STOPS + SPARE_STOPS)
            ]
        )
    text = _plain(" ".join(each for each in typed.getlist(field.name) if isinstance(each, str)))
    return _to_the_second(text) if field.kind.control == "datetime-local" else text


def _to_the_second(text: str) -> str:
    """A moment as the page had it: browsers leave out seconds that are nought."""
    return f"{text}:00" if _TO_THE_MINUTE.fullmatch(text) else text


def _one(typed: FormData, name: str) -> str:
    text = typed.get(name)
    return _plain(text) if isinstance(text, str) else ""


def _plain(text: str) -> str:
    """A text as a browser sends it back, without what nobody sees."""
    return text.replace("\r\n", "\n").replace("\r", "\n").strip()


def _or_raw(format_value: Callable[[], str], value: Any) -> str:
    try:
        return format_value()
    except (ValueError, TypeError, KeyError, AttributeError, ArithmeticError):
        return json.dumps(value, ensure_ascii=False, default=str)[:SHOWN_LETTERS]
