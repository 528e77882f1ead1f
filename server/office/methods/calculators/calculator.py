"""What a calculator is: what it inputs for, how it answers, and how what was typed becomes an answer or a refusal."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from server.office.forms.field_kinds import FieldKind
from server.office.forms.names import RecordNames
from server.office.forms.parse_numbers import FieldError
from server.office.forms.record_form import FormField
from server.office.shell.view import Fact
from server.render.localizer import Localizer
from server.render.tables import Table
from shared_models.errors import BadQuantity
from shared_models.reports.audit.entries import Names
from shared_models.reports.common.farm import FarmFacts


@dataclass(frozen=True, slots=True)
class CalculatorContext:
    """The farm with its limits, and the localizer."""

    farm: FarmFacts
    localizer: Localizer

    @property
    def names(self) -> RecordNames:
        return RecordNames(self.localizer, Names({}, {}, {}, {}))


@dataclass(frozen=True, slots=True)
class Input:
    """One figure that is asked for: the answer's argument of that `name`, and what stands in its field at first.

    What is not `needed` may be left empty; its hint says what that means, and the answer gets no such argument.
    """

    name: str
    label: str
    kind: FieldKind
    usual: Any = None
    hint: str = ""
    needed: bool = True


class Answer(NamedTuple):
    """A sentence that says it, the figures behind it, and a table with its caption where there is a list of them."""

    sentence: str
    facts: tuple[Fact, ...] = ()
    table: Table | None = None
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Calculator:
    """One question. `answer` gets the context and the figures by name; `caution` is always beside the form."""

    name: str
    title: str
    inputs: tuple[Input, ...]
    answer: Callable[..., Answer]
    caution: str = ""

    def key(self, field: Input) -> str:
        """The name of a field in the address; no two on a page are the same."""
        return f"{self.name}.{field.name}"


class UnfitTogetherError(FieldError):
    """Figures that can be one by one, but not together; `name` is the one to change."""

    def __init__(self, name: str, sentence: str) -> None:
        super().__init__(sentence)
        self.name = name


class Result(NamedTuple):
    """A calculator as it is shown. `problem` is of no one field; there is no answer before anything was typed."""

    calculator: Calculator
    filled: tuple[FormField, ...]
    answer: Answer | None
    problem: str


def work_out(calculator: Calculator, typed: Mapping[str, str], context: CalculatorContext) -> Result:
    """Answer from the query string, or say beside each figure what is wrong."""
    was_asked = any(calculator.key(field) in typed for field in calculator.inputs)
    answer: Answer | None = None
    problems: dict[str, str] = {}
    texts = {
        field.name: _text(field, typed.get(calculator.key(field)), was_asked, context) for field in calculator.inputs
    }
    if was_asked:
        figures, problems = _read(calculator.inputs, texts, context)
        if not problems:
            answer, problems = _answer(calculator, figures, context)
    filled = (
        _filled(calculator, field, texts[field.name], problems.get(field.name, ""), context)
        for field in calculator.inputs
    )
    return Result(calculator, tuple(filled), answer, problems.get("", ""))


def _text(field: Input, typed: str | None, was_asked: bool, context: CalculatorContext) -> str:
    if was_asked:
        return (typed or "").strip()
    return "" if field.usual is None else field.kind.to_text(field.usual, context.names)


def _read(
    inputs: tuple[Input, ...], texts: Mapping[str, str], context: CalculatorContext
) -> tuple[dict[str, Any], dict[str, str]]:
    empty = context.localizer.t("this cannot be left empty")
    problems = {field.name: empty for field in inputs if field.needed and not texts[field.name]}
    figures: dict[str, Any] = {}
    for field in (field for field in inputs if texts[field.name]):
        try:
            figures[field.name] = field.kind.parse(texts[field.name], context.names)
        except FieldError as unfit:
            problems[field.name] = str(unfit)
    return figures, problems


def _answer(
    calculator: Calculator, figures: Mapping[str, Any], context: CalculatorContext
) -> tuple[Answer | None, dict[str, str]]:
    try:
        return calculator.answer(context, **figures), {}
    except UnfitTogetherError as unfit:
        return None, {unfit.name: str(unfit)}
    except BadQuantity:
        return None, {"": context.localizer.t("These figures don't fit together. Check each one.")}


def _filled(calculator: Calculator, field: Input, text: str, problem: str, context: CalculatorContext) -> FormField:
    t = context.localizer.t
    return FormField(
        name=calculator.key(field),
        label=t(field.label),
        control=field.kind.control,
        inputmode=field.kind.inputmode,
        text=text,
        was="",
        unit=field.kind.unit(context.names),
        hint=t(field.hint),
        needed=field.needed,
        choices=tuple(each._replace(chosen=each.value == text) for each in field.kind.choices(text, context.names)),
        nothing=t("choose one" if field.needed else "not entered"),
        problem=problem,
    )
