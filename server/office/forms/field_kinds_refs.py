"""Fields that name other records, and lists: bed, sowing, planting, crew, places on a tape, stops."""

from __future__ import annotations

import json
import re
from collections.abc import Collection, Iterable
from typing import Any, NamedTuple

from server.office.forms.field_kinds import FieldKind
from server.office.forms.field_kinds_dates import local_time
from server.office.forms.names import RecordNames
from server.office.forms.parse_lengths import MM_PER_CM
from server.office.forms.parse_numbers import FieldError, number_in
from server.office.shell.view import Choice
from shared_models.core.moments import elapsed_s
from shared_models.core.units import MM_PER_INCH
from shared_models.i18n.labels import STOPS
from shared_models.records.models import StopEntry
from shared_models.reports.common.references import in_order

MOST_STOPS, MOST_PLACES = 100, 2_000


class Other(FieldKind):
    """Another record, by its name. One that was deleted is there to choose only where it is chosen."""

    control = "select"

    def records(self, words: RecordNames) -> Collection[str]:
        """Those that can be chosen."""
        raise NotImplementedError

    def named(self, record: Any, words: RecordNames) -> str:
        """How one is called."""
        raise NotImplementedError

    def text(self, value: Any, words: RecordNames) -> str:  # noqa: ARG002 - as every way has it
        """Its id."""
        return str(value)

    def said(self, value: Any, words: RecordNames) -> str:
        """Its name."""
        return self.named(value, words)

    def choices(self, value: Any, words: RecordNames) -> Iterable[Choice]:
        """By name; the one that is told, too."""
        told = {str(value)} if value else set()
        named = sorted((in_order(self.named(each, words)), each) for each in {*self.records(words), *told})
        return (Choice(each, self.named(each, words), each == value) for _, each in named)

    def read(self, typed: str, words: RecordNames) -> Any:
        """One of them."""
        if typed not in self.records(words):
            raise FieldError(words.localizer.t("choose one of the list"))
        return typed


class InBed(Other):
    """A bed."""

    def records(self, words: RecordNames) -> Collection[str]:
        """The farm's beds."""
        return {bed.id for bed in words.names.beds.values() if not bed.voided}

    def named(self, record: Any, words: RecordNames) -> str:
        """With its block."""
        return words.bed(record)


class OfSowing(Other):
    """A sowing."""

    def records(self, words: RecordNames) -> Collection[str]:
        """The farm's sowings."""
        return {sowing.id for sowing in words.names.sowings.values() if not sowing.voided}

    def named(self, record: Any, words: RecordNames) -> str:
        """Crop, variety, code."""
        return words.sowing(record)


class InPlanting(Other):
    """A planting."""

    def records(self, words: RecordNames) -> Collection[str]:
        """The farm's plantings."""
        return {planting.id for planting in words.names.plantings.values() if not planting.voided}

    def named(self, record: Any, words: RecordNames) -> str:
        """What was set where."""
        return words.planting(record)


class Crew(FieldKind):
    """The people of a row; their ids stand one after the other."""

    control = "several"

    def text(self, value: Any, words: RecordNames) -> str:  # noqa: ARG002 - as every way has it
        """Their ids."""
        return " ".join(value)

    def said(self, value: Any, words: RecordNames) -> str:
        """Their names."""
        return words.localizer.people(words.person(person) for person in value)

    def choices(self, value: Any, words: RecordNames) -> Iterable[Choice]:
        """Everybody who works here, and whoever is named already."""
        here = {person.id for person in words.names.people.values() if not person.voided} | set(value or ())
        named = sorted((words.person(person).casefold(), person) for person in here)
        return (Choice(person, words.person(person), person in (value or ())) for _, person in named)

    def read(self, typed: str, words: RecordNames) -> Any:  # noqa: ARG002 - as every way has it
        """Their ids; one who is not known here may stay."""
        return typed.split()


class OnTape(FieldKind):
    """Where each plant stands on a tape, in inches or centimetres, one number after the other."""

    control = "area"

    def unit(self, words: RecordNames) -> str:
        """The marks of the tape."""
        return words.localizer.t("in" if words.localizer.feet else "cm")

    def _size(self, words: RecordNames) -> float:
        return MM_PER_INCH if words.localizer.feet else MM_PER_CM

    def text(self, value: Any, words: RecordNames) -> str:
        """One after the other."""
        point = words.localizer.conventions.point
        return " ".join(f"{round(place / self._size(words), 2):g}".replace(".", point) for place in value)

    def read(self, typed: str, words: RecordNames) -> Any:
        """In whole millimetres, in the order of the tape."""
        t = words.localizer.t
        places = [number_in(each, words.localizer) for each in re.split(r"[\s;]+", typed.strip()) if each]
        if len(places) > MOST_PLACES or any(place < 0 for place in places):
            raise FieldError(t("write at most {n} numbers, none below 0", n=words.localizer.number(MOST_PLACES)))
        return sorted(round(place * self._size(words)) for place in places)


class StopTyped(NamedTuple):
    """One stop as the form has it: its reason (none takes it away), and when it began and ended on the farm's clock."""

    reason: str
    began: str
    ended: str


class Stops(FieldKind):
    """When and why a row stood still. In the form they are one text, a JSON list of lists; the log has moments."""

    control = "stops"

    def said(self, value: Any, words: RecordNames) -> str:
        """Each with its reason and how long it took."""
        return ", ".join(self._told(StopEntry.model_validate(stop), words) for stop in value)

    def _told(self, stop: StopEntry, words: RecordNames) -> str:
        took = f" {words.localizer.stopwatch(elapsed_s(stop.began, stop.ended))}" if stop.ended else ""
        return f"{words.localizer.t(STOPS[stop.reason])}{took}"

    def choices(self, value: Any, words: RecordNames) -> Iterable[Choice]:  # noqa: ARG002 - as every way has it
        """The reasons."""
        return (Choice(str(reason), words.localizer.t(text)) for reason, text in STOPS.items())

    def read(self, typed: str, words: RecordNames) -> Any:
        """What is typed of each stop, if it can be."""
        t, told = words.localizer.t, stops_typed(typed)
        for stop in told:
            if not stop.reason:
                continue
            if stop.reason not in {str(reason) for reason in STOPS}:
                raise FieldError(t("choose one of the list"))
            local_time(stop.began, words.localizer)
            if stop.ended:
                local_time(stop.ended, words.localizer)
        if len(told) > MOST_STOPS:
            raise FieldError(t("a row has at most {n} stops", n=MOST_STOPS))
        return told


def stops_typed(text: str) -> list[StopTyped]:
    """The stops in the text of the form; none where it is none."""
    try:
        return [StopTyped(*map(str, stop)) for stop in json.loads(text)] if text else []
    except (ValueError, TypeError, RecursionError):
        return []
