"""Field kinds for days and moments, on the farm's clock."""

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from typing_extensions import override

from server.office.forms.field_kinds import FieldKind
from server.office.forms.names import RecordNames
from server.office.forms.parse_numbers import FieldError
from server.render.localizer import Localizer
from shared_models.records.field_types import FIRST_YEAR, LAST_YEAR
from shared_models.reports.audit.entries import day_in, time_in

_YEAR_FIRST = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})")
_YEAR_LAST = re.compile(r"(\d{1,2})[-/.](\d{1,2})[-/.](\d{4})")


class OnDay(FieldKind):
    """A day of the calendar."""

    control = "date"

    @override
    def to_text(self, value: Any, names: RecordNames) -> str:
        return _stored_day(value).isoformat()

    @override
    def format(self, value: Any, names: RecordNames) -> str:
        return names.localizer.date(_stored_day(value))

    @override
    def parse(self, typed: str, names: RecordNames) -> Any:
        try:
            day = _day(typed.strip(), names.localizer.conventions.typed_date)
        except ValueError:
            raise FieldError(names.localizer.t("enter a day like 2026-05-14")) from None
        _check_year(day.year, names.localizer)
        return day.isoformat()


class AtTime(FieldKind):
    """A moment, to the second."""

    control = "datetime-local"

    @override
    def to_text(self, value: Any, names: RecordNames) -> str:
        return names.localizer.local(_stored_moment(value)).replace(tzinfo=None).isoformat(timespec="seconds")

    @override
    def format(self, value: Any, names: RecordNames) -> str:
        local = names.localizer.local(_stored_moment(value))
        return names.localizer.date_time(local, seconds=local.second != 0)

    @override
    def parse(self, typed: str, names: RecordNames) -> Any:
        return local_time(typed, names.localizer).isoformat()


@dataclass(frozen=True, slots=True)
class RowTime(AtTime):
    """The start or the end of a row: a moment on two clocks, which `reports.retiming` sets together."""

    which: str
    control = "datetime-local"


def _day(typed: str, order: str) -> date:
    """A date with its year first, or in the order of the language and country ("mdy", "dmy")."""
    if found := _YEAR_FIRST.fullmatch(typed):
        year, month, day = found.groups()
    elif order.endswith("y") and (found := _YEAR_LAST.fullmatch(typed)):
        parts = dict(zip(order, found.groups(), strict=True))
        year, month, day = parts["y"], parts["m"], parts["d"]
    else:
        return date.fromisoformat(typed)
    return date(int(year), int(month), int(day))


def local_time(typed: str, localizer: Localizer) -> datetime:
    """A moment typed on the farm's clock, in UTC; of an hour that comes twice, the first.

    Raises:
        FieldError: when it is none, or the farm's clock never showed it.
    """
    try:
        local = datetime.fromisoformat(typed.strip())
    except ValueError:
        raise FieldError(localizer.t("enter day and time like 2026-05-14 08:15")) from None
    if local.tzinfo is not None:
        raise FieldError(localizer.t("enter day and time like 2026-05-14 08:15"))
    _check_year(local.year, localizer)
    at = local.replace(tzinfo=localizer.zone).astimezone(UTC)
    _check_year(at.year, localizer)
    if at.astimezone(localizer.zone).replace(tzinfo=None, fold=0) != local.replace(fold=0):
        raise FieldError(localizer.t("clocks moved forward then, so there was no such time"))
    return at


def _check_year(year: int, localizer: Localizer) -> None:
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise FieldError(localizer.t("choose a year from {low} to {high}", low=FIRST_YEAR, high=LAST_YEAR))


def _stored_day(value: Any) -> date:
    day = day_in(value)
    if day is None:
        raise ValueError(value)
    return day


def _stored_moment(value: Any) -> datetime:
    at = time_in(value)
    if at is None:
        raise ValueError(value)
    return at
