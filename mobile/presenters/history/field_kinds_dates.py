"""How the days and times of an entry are said, asked for and written; those of a row on both of its clocks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

from mobile.presenters.base.form import Number, Question
from mobile.presenters.base.options import Option
from mobile.presenters.history.field_kinds import Answers, FieldContext, FieldKind, question
from shared_models.reports.audit.entries import day_in, time_in
from shared_models.reports.audit.retiming import STARTED, moved_by, set_to

_S_PER_MINUTE = 60
_FIRST_DAY, _LAST_DAY = date(1970, 1, 1), date(2199, 12, 31)
_LAST_MINUTE = datetime(2199, 12, 31, tzinfo=UTC).timestamp() / _S_PER_MINUTE


class OnDay(FieldKind):
    """A day of the calendar. Its answer is the number of the day."""

    def said(self, told: FieldContext) -> str:
        """As people call it."""
        day = self._day(told)
        if day is None:
            raise ValueError(told.value)
        return told.localizer.day(day, told.today)

    def questions(self, told: FieldContext) -> Sequence[Question]:
        """Set in days; today is one touch."""
        today, localizer = told.today, told.localizer
        number = Number(
            today.toordinal(),
            lowest=_FIRST_DAY.toordinal(),
            highest=_LAST_DAY.toordinal(),
            says=lambda day: localizer.day_by_itself(date.fromordinal(int(day)), today),
        )
        return [question(told, Option(str(today.toordinal()), localizer.t("Today")), number=number)]

    def answer(self, told: FieldContext) -> Any:
        """The number of the day."""
        day = self._day(told)
        return None if day is None else day.toordinal()

    def stored(self, told: FieldContext, answer: Any) -> Any:  # noqa: ARG002 - as every way has it
        """As the calendar has it."""
        return date.fromordinal(int(answer)).isoformat()

    def _day(self, told: FieldContext) -> date | None:
        return day_in(told.value)


class OnDayOf(OnDay):
    """The day of a moment; the time of day stays."""

    def _day(self, told: FieldContext) -> date | None:
        at = self._at(told)
        return None if at is None else told.localizer.local(at).date()

    def stored(self, told: FieldContext, answer: Any) -> Any:
        """The moment on its new day."""
        return self._moved(told, answer).isoformat()

    def _moved(self, told: FieldContext, answer: Any) -> datetime:
        local = told.localizer.local(self._at(told) or told.now)
        moved = datetime.combine(date.fromordinal(int(answer)), local.time(), told.localizer.zone)
        return moved.astimezone(UTC)

    def _at(self, told: FieldContext) -> datetime | None:
        return time_in(told.value)


class AtTime(FieldKind):
    """A moment, to the minute. Its answer is the number of minutes since 1970."""

    def said(self, told: FieldContext) -> str:
        """The time of day, with its day where that is not today."""
        at = self._at(told)
        if at is None:
            raise ValueError(told.value)
        return told.localizer.moment(at, told.now)

    def questions(self, told: FieldContext) -> Sequence[Question]:
        """Set in minutes."""
        localizer, now = told.localizer, told.now
        number = Number(
            round(_minutes(now)), highest=_LAST_MINUTE, says=lambda minutes: localizer.moment(_moment(minutes), now)
        )
        return [question(told, number=number)]

    def answer(self, told: FieldContext) -> Any:
        """In minutes, with the seconds as a fraction."""
        at = self._at(told)
        return None if at is None else _minutes(at)

    def stored(self, told: FieldContext, answer: Any) -> Any:  # noqa: ARG002 - as every way has it
        """As the log has it."""
        return _moment(answer).isoformat()

    def _at(self, told: FieldContext) -> datetime | None:
        return time_in(told.value)


class RowDay(OnDayOf):
    """The day of a row: its start, its end and its stops move together."""

    def _at(self, told: FieldContext) -> datetime | None:
        return told.entry.told(STARTED)

    def changed(self, told: FieldContext, answers: Answers) -> dict[str, Any]:
        """All moments of the row."""
        was = self._at(told) or told.now
        return moved_by(told.entry, self._moved(told, answers[told.field.key]) - was)


@dataclass(frozen=True, slots=True)
class RowTime(AtTime):
    """The start or the end of a row."""

    which: str

    def _at(self, told: FieldContext) -> datetime | None:
        return told.entry.told(self.which)

    def changed(self, told: FieldContext, answers: Answers) -> dict[str, Any]:
        """The moment, on both clocks."""
        return set_to(told.entry, {self.which: _moment(answers[told.field.key])})


def _minutes(at: datetime) -> float:
    return at.timestamp() / _S_PER_MINUTE


def _moment(minutes: float) -> datetime:
    return datetime.fromtimestamp(0, UTC) + timedelta(minutes=minutes)
