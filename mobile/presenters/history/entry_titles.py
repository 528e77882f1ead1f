"""An entry in a line or two, for lists and headings."""

from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime, timedelta
from typing import Any

from mobile.presenters.base.presenter import AppContext
from mobile.presenters.history.field_kinds import FieldContext
from mobile.presenters.history.field_kinds_refs import planting_name
from mobile.presenters.history.fields import field_name, fields_of, format_field
from shared_models.core.ids import made_ms
from shared_models.fields.references import sowing_label
from shared_models.lazy_message import LazyMessage
from shared_models.records.field_types import LAST_YEAR
from shared_models.records.problems import is_rule
from shared_models.reports.audit.entries import Entry, Names, day_in, time_in
from shared_models.reports.audit.retiming import ENDED, STARTED

#: a longer crew is shortened to its first names
CREW_LETTERS = 40
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


class EntryTitles:
    """Titles and details of entries; `names` are what they refer to."""

    def __init__(self, context: AppContext, names: Names) -> None:
        self._context, self._names = context, names
        self._localizer = context.localizer
        self._formats: Mapping[str, tuple[Callable[[Entry], str], Callable[[Entry], tuple[str, ...]]]] = {
            "row_pass": (self._row, self._of_row),
            "soil_check": (lambda entry: self._field(entry, "bed"), self._of_soil_check),
            "stand_count": (self._count, self._of_count),
            "tray_check": (lambda entry: self._field(entry, "sowing"), self._of_tray_check),
            "planting": (self._planting, self._of_planting),
            "sowing": (self._sowing, self._of_sowing),
            "bed": (lambda entry: self._field(entry, "name"), self._of_bed),
            "person": (lambda entry: self._field(entry, "name"), self._of_person),
            "weather": (lambda entry: self._field(entry, "on"), self._of_weather),
        }

    def title(self, entry: Entry) -> str:
        if entry.key.kind not in self._formats:
            return str(entry.fields.get("name", ""))
        title, _ = self._formats[entry.key.kind]
        return title(entry)

    def detail(self, entry: Entry) -> str:
        if entry.voided:
            return self._localizer.t("deleted")
        if entry.key.kind not in self._formats:
            return ""
        _, parts = self._formats[entry.key.kind]
        return " · ".join(part for part in parts(entry) if part)

    def day(self, entry: Entry) -> date | None:
        """The day it belongs to in a list: when it was seen or done; else when it was written down."""
        at = entry.corrected(STARTED) or time_in(entry.fields.get("at"))
        if at is not None:
            return self._localizer.local(at).date()
        on = day_in(entry.fields.get("on"))
        return on if isinstance(on, date) else self._made(entry)

    def broken(self, entry: Entry) -> str:
        return "; ".join(self._reason(entry, *each) for each in entry.problems.items())

    # the pieces

    def _made(self, entry: Entry) -> date | None:
        made = made_ms(entry.key.id)
        if made is None or made > (LAST_YEAR - 1970) * 365 * 86_400_000:
            return None
        return self._localizer.local(_EPOCH + timedelta(milliseconds=made)).date()

    def _field(self, entry: Entry, name: str) -> str:
        field = next(each for each in reversed(fields_of(entry.key.kind)) if each.name == name)
        return format_field(FieldContext(self._context, self._names, entry, field))

    def _entered(self, entry: Entry, name: str) -> str:
        return self._field(entry, name) if entry.fields.get(name) not in (None, "", []) else ""

    def _count(self, entry: Entry) -> str:
        row = self._localizer.t("row {row}", row=self._field(entry, "row"))
        return f"{self._field(entry, 'planting')} · {row}"

    def _row(self, entry: Entry) -> str:
        row = self._localizer.t("Row {row}", row=self._field(entry, "row"))
        return f"{row} · {self._field(entry, 'planting')}"

    def _planting(self, entry: Entry) -> str:
        if entry.key.id in self._names.plantings:
            context = FieldContext(self._context, self._names, entry, fields_of("planting")[0])
            return planting_name(context, self._names, entry.key.id)
        return f"{self._field(entry, 'bed')} · {self._field(entry, 'sowing')}"

    def _sowing(self, entry: Entry) -> str:
        found = self._names.sowings.get(entry.key.id)
        return sowing_label(found) if found else self._field(entry, "crop")

    def _of_row(self, entry: Entry) -> tuple[str, ...]:
        misses = _number(entry, "misses")
        missed = self._localizer.tn("{n} miss", "{n} misses", misses) if misses else ""
        crew = self._entered(entry, "crew")
        return self._times(entry), missed, self._localizer.crew(crew.split(", "), CREW_LETTERS) if crew else ""

    def _of_soil_check(self, entry: Entry) -> tuple[str, ...]:
        residue = self._entered(entry, "residue_pct")
        residue = self._localizer.t("residue {n}", n=residue) if residue else ""
        return self._clock(entry), self._entered(entry, "feel"), residue

    def _of_count(self, entry: Entry) -> tuple[str, ...]:
        plants = self._localizer.tn("{n} plant", "{n} plants", _number(entry, "plants"))
        length = self._entered(entry, "sample_length_mm")
        return self._clock(entry), self._localizer.t("{plants} in {length}", plants=plants, length=length)

    def _of_tray_check(self, entry: Entry) -> tuple[str, ...]:
        empty, seen = self._field(entry, "cells_empty"), self._field(entry, "cells_seen")
        return (self._localizer.t("{n} of {of} cells empty", n=empty, of=seen),)

    def _of_planting(self, entry: Entry) -> tuple[str, ...]:
        planned = self._entered(entry, "planned_on")
        return (self._localizer.t("planned {day}", day=planned) if planned else "",)

    def _of_sowing(self, entry: Entry) -> tuple[str, ...]:
        t, tn, sown = self._localizer.t, self._localizer.tn, self._entered(entry, "sown_on")
        trays = tn("{n} tray", "{n} trays", _number(entry, "trays")) if entry.fields.get("trays") else ""
        return t("sown {day}", day=sown) if sown else "", trays, self._entered(entry, "spacing_mm")

    def _of_bed(self, entry: Entry) -> tuple[str, ...]:
        rows = self._localizer.tn("{n} row", "{n} rows", _number(entry, "rows"))
        return self._entered(entry, "length_mm"), rows, self._entered(entry, "block")

    def _of_person(self, entry: Entry) -> tuple[str, ...]:
        return (self._entered(entry, "role"),)

    def _of_weather(self, entry: Entry) -> tuple[str, ...]:
        rain = self._entered(entry, "rain_mm")
        return (self._localizer.t("rain {n}", n=rain) if rain else "",)

    def _times(self, entry: Entry) -> str:
        start, end = entry.corrected(STARTED), entry.corrected(ENDED)
        if start is None:
            return ""
        if end is None:
            return self._localizer.t("open since {time}", time=self._localizer.clock(start))
        return f"{self._localizer.clock(start)} – {self._localizer.clock(end)}"

    def _clock(self, entry: Entry) -> str:
        at = time_in(entry.fields.get("at"))
        return "" if at is None else self._localizer.clock(at)

    def _reason(self, entry: Entry, name: str, problem: LazyMessage) -> str:
        if is_rule(problem):
            return self._localizer.t_lazy(problem)
        t = self._localizer.t
        return t("{field} cannot be right", field=field_name(self._localizer, entry.key.kind, name.partition(".")[0]))


def _number(entry: Entry, name: str) -> int:
    value: Any = entry.fields.get(name)
    return value if isinstance(value, int) else 0
