"""Field kinds for days and times; those of a row on both of its clocks."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

from typing_extensions import override

from mobile.presenters.base.form import Number, Question
from mobile.presenters.base.options import Option
from mobile.presenters.history.field_kinds import Answers, FieldContext, FieldKind, question
from shared_models.records.field_types import FIRST_YEAR, LAST_YEAR
from shared_models.reports.audit.entries import day_in, time_in
from shared_models.reports.audit.retiming import STARTED, moved_by, set_to

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_FIRST_DAY, _LAST_DAY = date(FIRST_YEAR, 1, 1), date(LAST_YEAR, 12, 31)
_MINUTE = timedelta(minutes=1)


class OnDay(FieldKind):
    """A day of the calendar. Its answer is the number of the day."""

    @override
    def format(self, context: FieldContext) -> str:
        day = self._day(context)
        if day is None:
            raise ValueError(context.value)
        return context.localizer.day(day, context.today)

    @override
    def questions(self, context: FieldContext) -> Sequence[Question]:
        today, localizer = context.today, context.localizer
        number = Number(
            today.toordinal(),
            lowest=_FIRST_DAY.toordinal(),
            highest=_LAST_DAY.toordinal(),
            to_text=lambda day: localizer.day_by_itself(date.fromordinal(int(day)), today),
        )
        return [question(context, Option(str(today.toordinal()), localizer.t("Today")), number=number)]

    @override
    def answer(self, context: FieldContext) -> Any:
        day = self._day(context)
        return None if day is None else day.toordinal()

    @override
    def stored(self, context: FieldContext, answer: Any) -> Any:
        return date.fromordinal(int(answer)).isoformat()

    def _day(self, context: FieldContext) -> date | None:
        return day_in(context.value)


class OnDayOf(OnDay):
    """The day of a moment; the time of day stays."""

    @override
    def _day(self, context: FieldContext) -> date | None:
        at = self._at(context)
        return None if at is None else context.localizer.local(at).date()

    @override
    def stored(self, context: FieldContext, answer: Any) -> Any:
        return self._moved(context, answer).isoformat()

    def _moved(self, context: FieldContext, answer: Any) -> datetime:
        local = context.localizer.local(self._at(context) or context.now)
        moved = datetime.combine(date.fromordinal(int(answer)), local.time(), context.localizer.zone)
        return moved.astimezone(UTC)

    def _at(self, context: FieldContext) -> datetime | None:
        return time_in(context.value)


class AtTime(FieldKind):
    """A moment, to the minute. Its answer is the number of minutes since 1970, the seconds as a fraction."""

    @override
    def format(self, context: FieldContext) -> str:
        at = self._at(context)
        if at is None:
            raise ValueError(context.value)
        return context.localizer.moment(at, context.now)

    @override
    def questions(self, context: FieldContext) -> Sequence[Question]:
        localizer, now = context.localizer, context.now
        number = Number(
            round(_minutes(now)),
            lowest=_minutes(datetime(FIRST_YEAR, 1, 1, tzinfo=UTC)),
            highest=_minutes(datetime(LAST_YEAR, 12, 31, 23, 59, tzinfo=UTC)),
            to_text=lambda minutes: localizer.moment(_moment(minutes), now),
        )
        return [question(context, number=number)]

    @override
    def answer(self, context: FieldContext) -> Any:
        at = self._at(context)
        return None if at is None else _minutes(at)

    @override
    def stored(self, context: FieldContext, answer: Any) -> Any:
        return _moment(answer).isoformat()

    def _at(self, context: FieldContext) -> datetime | None:
        return time_in(context.value)


class RowDay(OnDayOf):
    """The day of a row: its start, its end and its stops move together."""

    @override
    def _at(self, context: FieldContext) -> datetime | None:
        return context.entry.corrected(STARTED)

    @override
    def changed(self, context: FieldContext, answers: Answers) -> dict[str, Any]:
        was = self._at(context) or context.now
        return moved_by(context.entry, self._moved(context, answers[context.field.key]) - was)


@dataclass(frozen=True, slots=True)
class RowTime(AtTime):
    """The start or the end of a row, set on both clocks."""

    which: str

    @override
    def _at(self, context: FieldContext) -> datetime | None:
        return context.entry.corrected(self.which)

    @override
    def changed(self, context: FieldContext, answers: Answers) -> dict[str, Any]:
        return set_to(context.entry, {self.which: _moment(answers[context.field.key])})


def _minutes(at: datetime) -> float:
    return (at - _EPOCH) / _MINUTE


def _moment(minutes: float) -> datetime:
    return _EPOCH + minutes * _MINUTE
