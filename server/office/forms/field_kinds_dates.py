"""Days and moments, on the farm's clock."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from server.office.forms.field_kinds import FieldKind
from server.office.forms.names import RecordNames
from server.office.forms.parse_numbers import FieldError
from server.render.localizer import Localizer
from shared_models.reports.audit.entries import day_in, time_in

_FIRST_YEAR, _LAST_YEAR = 1970, 2199
_YEAR_FIRST = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})")
_DAY_FIRST = re.compile(r"(\d{1,2})[-/.](\d{1,2})[-/.](\d{4})")


class OnDay(FieldKind):
    """A day of the calendar."""

    control = "date"

    def text(self, value: Any, words: RecordNames) -> str:  # noqa: ARG002 - as every way has it
        """As an input has it."""
        day = day_in(value)
        if day is None:
            raise ValueError(value)
        return day.isoformat()

    def said(self, value: Any, words: RecordNames) -> str:
        """In figures."""
        day = day_in(value)
        if day is None:
            raise ValueError(value)
        return words.localizer.date_figures(day)

    def read(self, typed: str, words: RecordNames) -> Any:
        """As the calendar has it."""
        try:
            day = _day(typed.strip(), day_first=words.localizer.conventions.day_first)
        except ValueError:
            raise FieldError(words.localizer.t("write a day like 2026-05-14")) from None
        _check_year(day.year, words.localizer)
        return day.isoformat()


class AtTime(FieldKind):
    """A moment, to the second."""

    control = "datetime-local"

    def text(self, value: Any, words: RecordNames) -> str:
        """As an input has it, on the farm's clock."""
        return words.localizer.local(_moment(value)).replace(tzinfo=None).isoformat(timespec="seconds")

    def said(self, value: Any, words: RecordNames) -> str:
        """Day and time of day; the seconds where they are not nought."""
        local = words.localizer.local(_moment(value))
        return f"{words.localizer.date_figures(local.date())} {local:%H:%M:%S}".removesuffix(":00")

    def read(self, typed: str, words: RecordNames) -> Any:
        """In UTC."""
        return local_time(typed, words.localizer).isoformat()


@dataclass(frozen=True, slots=True)
class RowTime(AtTime):
    """The start or the end of a row: a moment on two clocks, which `reports.retiming` sets together."""

    which: str
    control = "datetime-local"


def _day(typed: str, *, day_first: bool) -> date:
    """A day with its year first; with the day first only where people write so, else it could be another day."""
    if found := _YEAR_FIRST.fullmatch(typed):
        year, month, day = found.groups()
    elif day_first and (found := _DAY_FIRST.fullmatch(typed)):
        day, month, year = found.groups()
    else:
        return date.fromisoformat(typed)
    return date(int(year), int(month), int(day))


def local_time(typed: str, localizer: Localizer) -> datetime:
    """A moment as somebody types it, on the farm's clock; of an hour that comes twice, the first.

    Raises:
        UnfitError: when it is none, or the farm's clock never showed it.
    """
    try:
        local = datetime.fromisoformat(typed.strip())
    except ValueError:
        raise FieldError(localizer.t("write day and time like 2026-05-14 08:15")) from None
    if local.tzinfo is not None:
        raise FieldError(localizer.t("write day and time like 2026-05-14 08:15"))
    _check_year(local.year, localizer)
    at = local.replace(tzinfo=localizer.zone).astimezone(UTC)
    if at.astimezone(localizer.zone).replace(tzinfo=None, fold=0) != local.replace(fold=0):
        raise FieldError(localizer.t("the clock was put forward then: there was no such time"))
    return at


def _check_year(year: int, localizer: Localizer) -> None:
    if not _FIRST_YEAR <= year <= _LAST_YEAR:
        raise FieldError(localizer.t("choose a year from {low} to {high}", low=_FIRST_YEAR, high=_LAST_YEAR))


def _moment(value: Any) -> datetime:
    at = time_in(value)
    if at is None:
        raise ValueError(value)
    return at
