"""Field kinds: how the value of an entry's field is formatted, asked for and stored."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from math import ceil, floor
from typing import Any

from typing_extensions import override

from mobile.i18n.localizer import Localizer
from mobile.presenters.base.form import Number, Question
from mobile.presenters.base.options import Option
from mobile.presenters.base.presenter import AppContext
from shared_models.fields import catalog
from shared_models.fields.quantities import COUNT, DEPTH, LENGTH, PERCENT, SHARE, SPACING, TEMPERATURE, WATER, WIDTH
from shared_models.reports.audit.entries import Entry, Names

#: answers that stand for no value, for yes and for no
NOT_ENTERED, YES, NO = "not entered", "yes", "no"
_CLOSE = 1e-6

Answers = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Field:
    """A field of the catalog, and how it is asked for.

    `own_key` and `own_label` tell two parts of one field apart, such as the day and the time of a moment.
    """

    spec: catalog.Field
    kind: FieldKind
    needed: bool
    own_label: str = ""
    own_key: str = ""

    @property
    def name(self) -> str:
        """The stored name."""
        return self.spec.name

    @property
    def label(self) -> str:
        """What people call it."""
        return self.own_label or self.spec.label

    @property
    def key(self) -> str:
        """What stands for it in a list."""
        return self.own_key or self.name


@dataclass(frozen=True, slots=True)
class FieldContext:
    """A field of one entry, and what it takes to format it."""

    app: AppContext
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
        """The person's language and units."""
        return self.app.localizer

    @property
    def now(self) -> datetime:
        """The phone's clock."""
        return self.app.notebook.now().at

    @property
    def today(self) -> date:
        """The day on the farm's clock."""
        return self.localizer.local(self.now).date()


class FieldKind:
    """How a field is asked for; by default a value that stands alone."""

    def listed(self, context: FieldContext) -> bool:  # noqa: ARG002 - for those that override it
        """Whether it is in the list of the entry's fields."""
        return True

    def format(self, context: FieldContext) -> str:
        """The value as people read it. A value of another kind raises ValueError, TypeError or the like."""
        return str(context.value)

    def questions(self, context: FieldContext) -> Sequence[Question]:
        """What is asked; the last question has the key of the field."""
        raise NotImplementedError

    def answer(self, context: FieldContext) -> Any:
        """The stored value as an answer."""
        return context.value

    def stored(self, context: FieldContext, answer: Any) -> Any:  # noqa: ARG002 - for those that override it
        """The value to store for an answer."""
        return answer

    def changed(self, context: FieldContext, answers: Answers) -> dict[str, Any]:
        """The fields that a line has to set."""
        answer = answers.get(context.field.key)
        return {context.field.name: None if answer in (None, NOT_ENTERED) else self.stored(context, answer)}

    def write(self, context: FieldContext, answers: Answers) -> None:
        """Write the answer, where it changes anything."""
        changed = self.changed(context, answers)
        if changed:
            context.app.notebook.correct(*context.entry.key, changed)


def question(context: FieldContext, *options: Option, number: Number | None = None) -> Question:
    """A question about a field; its label is question enough. Where there need not be an answer, none is one."""
    field, t = context.field, context.localizer.t
    none = () if field.needed else (Option(NOT_ENTERED, t("not entered"), sign="–"),)
    label = t(field.label)
    return Question(field.key, label, label, (*options, *none), needed=field.needed, number=number)


@dataclass(frozen=True, slots=True)
class Steps:
    """How a number is set with − and +: where it starts, and how far a touch goes."""

    start: float
    step: float = 1


#: in feet and inches, and in metric units
STEPS: Mapping[object, tuple[Steps, Steps]] = {
    LENGTH: (Steps(100), Steps(30)),
    WIDTH: (Steps(12), Steps(30)),
    DEPTH: (Steps(1.25, 0.25), Steps(30, 5)),
    SPACING: (Steps(2), Steps(5)),
    WATER: (Steps(0.5, 0.1), Steps(10)),
    TEMPERATURE: (Steps(55), Steps(13)),
    PERCENT: (Steps(5, 5), Steps(5, 5)),
    SHARE: (Steps(90), Steps(90)),
    COUNT: (Steps(0), Steps(0)),
}


@dataclass(frozen=True, slots=True)
class Numeric(FieldKind):
    """A number, in the farm's unit; `steps` where it is not set as others of its quantity are."""

    steps: tuple[Steps, Steps] | None = None

    @override
    def format(self, context: FieldContext) -> str:
        return context.field.spec.quantity.format(context.value, context.localizer)

    @override
    def questions(self, context: FieldContext) -> Sequence[Question]:
        return [question(context, number=self.number(context.field.spec, context.localizer))]

    def number(self, spec: catalog.Field, localizer: Localizer) -> Number:
        """The control: from the least to the most that may be stored, in whole steps."""
        quantity, unit = spec.quantity, spec.quantity.unit(localizer)
        steps = (self.steps or STEPS[quantity])[0 if localizer.feet else 1]
        low, high = ((bound - unit.zero) / unit.size / steps.step for bound in (spec.low, spec.high))
        lowest = steps.step * (1 if spec.above else ceil(low - _CLOSE))
        start = spec.default if isinstance(spec.default, int | float) else max(steps.start, lowest)
        highest = steps.step * floor(high + _CLOSE)
        decimals = 0 if quantity in (PERCENT, SHARE) else unit.decimals
        return Number(start, steps.step, lowest, highest, decimals, quantity.unit_name(localizer))

    @override
    def answer(self, context: FieldContext) -> Any:
        return None if context.number is None else context.field.spec.quantity.shown(context.number, context.localizer)

    @override
    def stored(self, context: FieldContext, answer: Any) -> Any:
        return context.field.spec.quantity.stored(answer, context.localizer)


def starting(feet: float, metres: float | None = None, step: float = 1) -> Numeric:
    """A number that starts elsewhere than others of its quantity."""
    return Numeric((Steps(feet, step), Steps(feet if metres is None else metres, step)))


class Written(FieldKind):
    """Text; what is wiped out is not entered."""

    @override
    def questions(self, context: FieldContext) -> Sequence[Question]:
        label = context.localizer.t(context.field.label)
        return [Question(context.field.key, label, label, writes=True, needed=context.field.needed)]


class Chosen(FieldKind):
    """One of a vocabulary, by its labels."""

    @override
    def format(self, context: FieldContext) -> str:
        return context.localizer.t(context.field.spec.choices[context.value])

    @override
    def questions(self, context: FieldContext) -> Sequence[Question]:
        labels = context.field.spec.choices.items()
        return [question(context, *(Option(str(word), context.localizer.t(label)) for word, label in labels))]


class YesNo(FieldKind):
    """Yes or no."""

    @override
    def format(self, context: FieldContext) -> str:
        return context.localizer.t("Yes" if context.value else "No")

    @override
    def questions(self, context: FieldContext) -> Sequence[Question]:
        t = context.localizer.t
        return [question(context, Option(YES, t("Yes")), Option(NO, t("No")))]

    @override
    def answer(self, context: FieldContext) -> Any:
        return None if context.value is None else YES if context.value else NO

    @override
    def stored(self, context: FieldContext, answer: Any) -> Any:
        return answer == YES
