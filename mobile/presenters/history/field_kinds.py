"""Field kinds: how the value of an entry's field is formatted, asked for and stored."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from typing_extensions import override

from mobile.i18n.localizer import Localizer
from mobile.presenters.base.form import Number, Question
from mobile.presenters.base.numbers import Steps, control
from mobile.presenters.base.options import Option
from mobile.presenters.base.presenter import AppContext
from shared_models.fields import catalog
from shared_models.reports.audit.entries import Entry, Names

#: answers that stand for no value, for yes and for no
NOT_ENTERED, YES, NO = "not entered", "yes", "no"

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
        return self.spec.name

    @property
    def label(self) -> str:
        return self.own_label or self.spec.label

    @property
    def key(self) -> str:
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
        return self.entry.fields.get(self.field.name)

    @property
    def number(self) -> float | None:
        return self.value if isinstance(self.value, int | float) else None

    @property
    def localizer(self) -> Localizer:
        return self.app.localizer

    @property
    def now(self) -> datetime:
        return self.app.notebook.now().at

    @property
    def today(self) -> date:
        return self.localizer.local(self.now).date()


class FieldKind:
    """How a field is asked for; by default a value that stands alone."""

    def listed(self, context: FieldContext) -> bool:  # noqa: ARG002 - for those that override it
        return True

    def format(self, context: FieldContext) -> str:
        """The value as people read it. A value of another kind raises ValueError, TypeError or the like."""
        return str(context.value)

    def questions(self, context: FieldContext) -> Sequence[Question]:
        """What is asked; the last question has the key of the field."""
        raise NotImplementedError

    def answer(self, context: FieldContext) -> Any:
        return context.value

    def stored(self, context: FieldContext, answer: Any) -> Any:  # noqa: ARG002 - for those that override it
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
class Numeric(FieldKind):
    """A number, in the farm's unit; `steps` where it is not set as others of its quantity are."""

    steps: tuple[Steps, Steps] | None = None

    @override
    def format(self, context: FieldContext) -> str:
        return context.field.spec.quantity.format(context.value, context.localizer)

    @override
    def questions(self, context: FieldContext) -> Sequence[Question]:
        return [question(context, number=control(context.field.spec, context.localizer, self.steps))]

    @override
    def answer(self, context: FieldContext) -> Any:
        return None if context.number is None else context.field.spec.quantity.shown(context.number, context.localizer)

    @override
    def stored(self, context: FieldContext, answer: Any) -> Any:
        return context.field.spec.quantity.stored(answer, context.localizer)


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
