"""Field kinds for references and lists: bed, sowing, planting, crew, places on a tape, stops."""

import json
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, NamedTuple

from typing_extensions import override

from server.office.forms.field_kinds import FieldKind
from server.office.forms.field_kinds_dates import local_time
from server.office.forms.names import RecordNames
from server.office.forms.parse_numbers import FieldError, number_in
from server.office.shell.view import Choice
from shared_models.core.moments import elapsed_s
from shared_models.fields.catalog import fields_of
from shared_models.fields.quantities import WIDTH
from shared_models.i18n.labels import STOPS
from shared_models.records.models import StopEntry
from shared_models.reports.audit.entries import Names
from shared_models.reports.common.references import in_order

MOST_STOPS = fields_of("row_pass")["stops"].longest
MOST_PLACES = fields_of("stand_count")["positions_mm"].longest


@dataclass(frozen=True, slots=True)
class Reference(FieldKind):
    """Another record, by its name. A deleted one can only be kept."""

    records: Callable[[Names], Iterable[Any]]
    name: Callable[[RecordNames, Any], str]
    control = "select"

    def _ids(self, names: RecordNames) -> set[str]:
        return {record.id for record in self.records(names.records) if not record.voided}

    @override
    def format(self, value: Any, names: RecordNames) -> str:
        return self.name(names, value)

    @override
    def choices(self, value: Any, names: RecordNames) -> Iterable[Choice]:
        ids = self._ids(names) | ({str(value)} if value else set())
        named = sorted((in_order(self.name(names, each)), each) for each in ids)
        return (Choice(each, self.name(names, each), each == value) for _, each in named)

    @override
    def parse(self, typed: str, names: RecordNames) -> Any:
        if typed not in self._ids(names):
            raise FieldError(names.localizer.t("choose one from the list"))
        return typed


BED = Reference(lambda records: records.beds.values(), RecordNames.bed)
SOWING = Reference(lambda records: records.sowings.values(), RecordNames.sowing)
PLANTING = Reference(lambda records: records.plantings.values(), RecordNames.planting)


class Crew(FieldKind):
    """The people of a row; as text, their ids. Someone unknown may stay."""

    control = "several"

    @override
    def to_text(self, value: Any, names: RecordNames) -> str:
        return " ".join(value)

    @override
    def format(self, value: Any, names: RecordNames) -> str:
        return names.localizer.people(names.person(person) for person in value)

    @override
    def choices(self, value: Any, names: RecordNames) -> Iterable[Choice]:
        ids = {person.id for person in names.records.people.values() if not person.voided} | set(value or ())
        named = sorted((names.person(person).casefold(), person) for person in ids)
        return (Choice(person, names.person(person), person in (value or ())) for _, person in named)

    @override
    def parse(self, typed: str, names: RecordNames) -> Any:
        return typed.split()


class OnTape(FieldKind):
    """Where each plant stands on a tape, in inches or centimeters, in the order of the tape."""

    control = "area"

    @override
    def unit(self, names: RecordNames) -> str:
        return WIDTH.unit_name(names.localizer)

    @override
    def to_text(self, value: Any, names: RecordNames) -> str:
        point, size = names.localizer.conventions.point, WIDTH.unit(names.localizer).size
        return " ".join(f"{round(place / size, 2):g}".replace(".", point) for place in value)

    @override
    def parse(self, typed: str, names: RecordNames) -> Any:
        t = names.localizer.t
        places = [number_in(each, names.localizer) for each in re.split(r"[\s;]+", typed.strip()) if each]
        if len(places) > MOST_PLACES or any(place < 0 for place in places):
            raise FieldError(t("enter at most {n} numbers, none below 0", n=names.localizer.number(MOST_PLACES)))
        return sorted(WIDTH.stored(place, names.localizer) for place in places)


class StopTyped(NamedTuple):
    """One stop as the form has it: its reason (none takes it away), and when it began and ended on the farm's clock."""

    reason: str
    began: str
    ended: str


class Stops(FieldKind):
    """When and why a row stood still. In the form they are one text, a JSON list of lists; the log has moments."""

    control = "stops"

    @override
    def format(self, value: Any, names: RecordNames) -> str:
        return ", ".join(_stop(StopEntry.model_validate(stop), names) for stop in value)

    @override
    def choices(self, value: Any, names: RecordNames) -> Iterable[Choice]:
        return (Choice(str(reason), names.localizer.t(label)) for reason, label in STOPS.items())

    @override
    def parse(self, typed: str, names: RecordNames) -> Any:
        t, stops = names.localizer.t, stops_typed(typed)
        for stop in stops:
            if not stop.reason:
                continue
            if stop.reason not in {str(reason) for reason in STOPS}:
                raise FieldError(t("choose one from the list"))
            local_time(stop.began, names.localizer)
            if stop.ended:
                local_time(stop.ended, names.localizer)
        if len(stops) > MOST_STOPS:
            raise FieldError(t("a row has at most {n} stops", n=MOST_STOPS))
        return stops


def _stop(stop: StopEntry, names: RecordNames) -> str:
    took = f" {names.localizer.stopwatch(elapsed_s(stop.began, stop.ended))}" if stop.ended else ""
    return f"{names.localizer.t(STOPS[stop.reason])}{took}"


def stops_typed(text: str) -> list[StopTyped]:
    """The stops in the text of the form; none where it is none."""
    try:
        return [StopTyped(*map(str, stop)) for stop in json.loads(text)] if text else []
    except (ValueError, TypeError, RecursionError):
        return []
