"""How a field of an entry is said, asked for and written: counts, lengths, shares, words, yes or no."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from mobile.i18n.localizer import Localizer
from mobile.presenters.base.form import Number, Question
from mobile.presenters.base.options import Option
from mobile.presenters.base.presenter import AppContext
from shared_models.core.units import (
    MM_PER_FOOT,
    MM_PER_INCH,
    MM_PER_METRE,
    celsius_to_fahrenheit,
    fahrenheit_to_celsius,
)
from shared_models.reports.audit.entries import Entry, Names

#: answers that stand for no value, for yes and for no
NOT_TOLD, YES, NO = "not told", "yes", "no"
MM_PER_CM = 10.0
_EVEN = 9  # decimals beyond which a figure is only the rest of a conversion

Answers = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Field:
    """One thing that an entry tells: the stored `name`, what people call it, and how it is asked for.

    `own_key` tells two things apart that are stored under one name, such as the day and the time of a moment.
    """

    name: str
    label: str
    ask: FieldKind
    needed: bool = False
    own_key: str = ""

    @property
    def key(self) -> str:
        """What stands for it in a list."""
        return self.own_key or self.name


@dataclass(frozen=True, slots=True)
class FieldContext:
    """A field of one entry, and what it takes to say it: how people here talk, what ids stand for."""

    context: AppContext
    names: Names
    entry: Entry
    field: Field

    @property
    def value(self) -> Any:
        """What is stored; None where nothing is."""
        return self.entry.fields.get(self.field.name)

    @property
    def number(self) -> float | None:
        """What is stored, where it is a number."""
        return self.value if isinstance(self.value, int | float) else None

    @property
    def localizer(self) -> Localizer:
        """How people here talk."""
        return self.context.localizer

    @property
    def now(self) -> datetime:
        """The phone's clock."""
        return self.context.notebook.now().at

    @property
    def today(self) -> date:
        """The day on the farm's clock."""
        return self.localizer.local(self.now).date()


class FieldKind:
    """One way to ask. A way says what it overrides; the rest is as for any value that stands alone."""

    def listed(self, told: FieldContext) -> bool:  # noqa: ARG002 - for those that override it
        """Whether it is in the list of the entry's fields."""
        return True

    def said(self, told: FieldContext) -> str:
        """A value that is told, in words. What is none of its kind raises ValueError, TypeError or the like."""
        raise NotImplementedError

    def questions(self, told: FieldContext) -> Sequence[Question]:
        """What is asked; the last question has the key of the field."""
        raise NotImplementedError

    def answer(self, told: FieldContext) -> Any:
        """The value as its question has it."""
        return told.value

    def stored(self, told: FieldContext, answer: Any) -> Any:  # noqa: ARG002 - for those that override it
        """An answer as the log has it."""
        return answer

    def changed(self, told: FieldContext, answers: Answers) -> dict[str, Any]:
        """The fields that a line has to set."""
        answer = answers.get(told.field.key)
        return {told.field.name: None if answer in (None, NOT_TOLD) else self.stored(told, answer)}

    def write(self, told: FieldContext, answers: Answers) -> None:
        """Write the answer, where it changes anything."""
        changed = self.changed(told, answers)
        if changed:
            told.context.notebook.correct(*told.entry.key, changed)


def question(told: FieldContext, *options: Option, **how: Any) -> Question:
    """A question about a field; its name is question enough. Where there need not be an answer, none is one."""
    field, t = told.field, told.localizer.t
    none = () if field.needed else (Option(NOT_TOLD, t("not told"), sign="–"),)
    label = t(field.label)
    return Question(field.key, label, label, (*options, *none), needed=field.needed, **how)


@dataclass(frozen=True, slots=True)
class Counted(FieldKind):
    """A whole number."""

    start: int = 0
    lowest: int = 0
    highest: int = 9_999

    def said(self, told: FieldContext) -> str:
        """The number."""
        return told.localizer.number(told.value)

    def questions(self, told: FieldContext) -> Sequence[Question]:
        """Set with − and +."""
        return [question(told, number=Number(self.start, lowest=self.lowest, highest=self.highest))]

    def answer(self, told: FieldContext) -> Any:
        """What is no number is set anew."""
        return told.number

    def stored(self, told: FieldContext, answer: Any) -> Any:  # noqa: ARG002 - as every way has it
        """A whole number."""
        return int(answer)


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit that people say: how many of the stored ones it is, and how a number in it is set."""

    name: str
    size: float
    start: float
    step: float = 1
    decimals: int = 1
    highest: float = 9_999


@dataclass(frozen=True, slots=True)
class Measured(FieldKind):
    """A length or a depth of water, in the units of the farm; `whole` where it is stored in whole millimetres."""

    feet: Unit
    metres: Unit
    whole: bool = True

    def _unit(self, localizer: Localizer) -> Unit:
        return self.feet if localizer.feet else self.metres

    def said(self, told: FieldContext) -> str:
        """The number and its unit."""
        localizer, unit = told.localizer, self._unit(told.localizer)
        return f"{localizer.number(self._in(unit, told.value), unit.decimals)} {localizer.t(unit.name)}"

    def questions(self, told: FieldContext) -> Sequence[Question]:
        """Set in steps of the unit."""
        unit = self._unit(told.localizer)
        lowest, name = unit.step if self.whole else 0, told.localizer.t(unit.name)
        return [question(told, number=Number(unit.start, unit.step, lowest, unit.highest, unit.decimals, name))]

    def answer(self, told: FieldContext) -> Any:
        """In the unit."""
        return None if told.number is None else self._in(self._unit(told.localizer), told.number)

    def _in(self, unit: Unit, stored: float) -> float:
        """What was set in steps shows as that step, though it is stored in whole millimetres."""
        value = stored / unit.size
        stepped = round(value / unit.step) * unit.step
        return stepped if self.whole and round(stepped * unit.size) == stored else round(value, _EVEN)

    def stored(self, told: FieldContext, answer: Any) -> Any:
        """In millimetres."""
        stored = answer * self._unit(told.localizer).size
        return round(stored) if self.whole else round(stored, _EVEN)


LENGTH = Measured(Unit("ft", MM_PER_FOOT, 100), Unit("m", MM_PER_METRE, 30))
STRETCH = Measured(Unit("ft", MM_PER_FOOT, 10), Unit("m", MM_PER_METRE, 3))
WIDTH = Measured(Unit("in", MM_PER_INCH, 12), Unit("cm", MM_PER_CM, 30))
DEPTH = Measured(Unit("in", MM_PER_INCH, 1.25, 0.25, 2, 12), Unit("mm", 1, 30, 5, 0, 300))
SPACING = Measured(Unit("in", MM_PER_INCH, 2, highest=99), Unit("cm", MM_PER_CM, 5, highest=250), whole=False)
WATER = Measured(Unit("in", MM_PER_INCH, 0.5, 0.1, 2, 40), Unit("mm", 1, 10, highest=1_000), whole=False)


@dataclass(frozen=True, slots=True)
class Percent(FieldKind):
    """A share in percent; `of_one` where it is stored as a share of one."""

    of_one: bool = False
    start: float = 5
    step: float = 5

    @property
    def _size(self) -> float:
        return 0.01 if self.of_one else 1

    def said(self, told: FieldContext) -> str:
        """Percent."""
        return told.localizer.t("{n}%", n=told.localizer.number(told.value / self._size, 1))

    def questions(self, told: FieldContext) -> Sequence[Question]:
        """From 0 to 100."""
        return [question(told, number=Number(self.start, self.step, 0, 100, unit="%"))]

    def answer(self, told: FieldContext) -> Any:
        """In percent."""
        return None if told.number is None else round(told.number / self._size, _EVEN)

    def stored(self, told: FieldContext, answer: Any) -> Any:  # noqa: ARG002 - as every way has it
        """As it is stored."""
        return round(answer * self._size, _EVEN)


class Warmth(FieldKind):
    """A temperature, stored in °C."""

    def said(self, told: FieldContext) -> str:
        """In the farm's degrees."""
        return f"{told.localizer.number(self._in(told.localizer, told.value))} {self._unit(told.localizer)}"

    def questions(self, told: FieldContext) -> Sequence[Question]:
        """Set in degrees."""
        unit = self._unit(told.localizer)
        number = Number(55, 1, -40, 130, unit=unit) if told.localizer.feet else Number(13, 1, -40, 55, unit=unit)
        return [question(told, number=number)]

    def answer(self, told: FieldContext) -> Any:
        """In whole degrees of the farm."""
        return None if told.number is None else round(self._in(told.localizer, told.number))

    def stored(self, told: FieldContext, answer: Any) -> Any:
        """In °C, to a tenth."""
        return round(fahrenheit_to_celsius(answer) if told.localizer.feet else answer, 1)

    def _in(self, localizer: Localizer, celsius: float) -> float:
        return celsius_to_fahrenheit(celsius) if localizer.feet else celsius

    def _unit(self, localizer: Localizer) -> str:
        return "°F" if localizer.feet else "°C"


class Written(FieldKind):
    """Words that are typed."""

    def said(self, told: FieldContext) -> str:
        """As they are."""
        return str(told.value)

    def questions(self, told: FieldContext) -> Sequence[Question]:
        """In writing; what is wiped out is not told."""
        label = told.localizer.t(told.field.label)
        return [Question(told.field.key, label, label, writes=True, needed=told.field.needed)]


@dataclass(frozen=True, slots=True)
class Chosen(FieldKind):
    """One of the trade's words."""

    words: Mapping[Any, str]

    def said(self, told: FieldContext) -> str:
        """As the screens call it."""
        return told.localizer.t(self.words[told.value])

    def questions(self, told: FieldContext) -> Sequence[Question]:
        """One of them."""
        t = told.localizer.t
        return [question(told, *(Option(str(word), t(text)) for word, text in self.words.items()))]


class YesNo(FieldKind):
    """Yes or no."""

    def said(self, told: FieldContext) -> str:
        """Yes, or no."""
        return told.localizer.t("Yes" if told.value else "No")

    def questions(self, told: FieldContext) -> Sequence[Question]:
        """One of two."""
        t = told.localizer.t
        return [question(told, Option(YES, t("Yes")), Option(NO, t("No")))]

    def answer(self, told: FieldContext) -> Any:
        """Yes, no, or nothing."""
        return None if told.value is None else YES if told.value else NO

    def stored(self, told: FieldContext, answer: Any) -> Any:  # noqa: ARG002 - as every way has it
        """True or false."""
        return answer == YES
