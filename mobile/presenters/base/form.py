"""Forms: one large question at a time, then all answers to check and save."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, ClassVar

from mobile.presenters.base.options import Notice, Option
from mobile.presenters.base.presenter import AppContext, Presenter
from mobile.presenters.base.routes import Route


@dataclass(frozen=True, slots=True)
class Number:
    """How a number is set: where it starts, in which steps, between which bounds, in which unit.

    `to_text` formats it in other words than digits: a day, a time of day.
    """

    start: float
    step: float = 1
    lowest: float = 0
    highest: float = 9_999
    decimals: int = 0
    unit: str = ""
    to_text: Callable[[float], str] | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """One question: answered by choosing, with a number, or in writing. `name` is short, `ask` a whole sentence.

    Of its options one is chosen; or, where they are `many`, all that belong. `new` adds an option that
    opens the form of a new record.
    """

    key: str
    name: str
    ask: str
    options: tuple[Option, ...] = ()
    number: Number | None = None
    many: bool = False
    writes: bool = False
    needed: bool = True
    how: str = ""
    hint: str = ""
    new: tuple[Route, str] | None = None


@dataclass(frozen=True, slots=True)
class FormView:
    """The current question; or, where `kind` is "review", all answers. `key` changes with the question."""

    key: str
    kind: str
    title: str
    ask: str
    how: str
    options: tuple[Option, ...]
    number: Number
    value: float | None
    text: str
    hint: str
    point: str
    notice: Notice
    back: str
    forward: str
    can_forward: bool


REVIEW, HOW, NEW = "review", "how", "new"
NO_NOTICE = Notice("", "", "plain")


class Form(Presenter):
    """Asks, remembers the answers, and writes them when they are complete.

    A subclass has `questions` (which may depend on the answers so far), `format_answer`, `notice` (what the answers so
    far mean) and `save`.
    """

    title: ClassVar[str]
    saves: ClassVar[str] = "Save"
    #: whether all answers are shown before they are saved; a single question needs no second look
    reviewed: ClassVar[bool] = True

    def __init__(self, context: AppContext, **known: Any) -> None:
        super().__init__(context)
        self._answers: dict[str, Any] = dict(known)
        self.read()
        self._at = next((each.key for each in self.questions() if each.key not in known), REVIEW)
        self._reached_review = False
        self._how_open = False

    # what a form is

    def questions(self) -> Sequence[Question]:
        raise NotImplementedError

    def save(self) -> None:
        raise NotImplementedError

    def format_answer(self, question: Question, value: Any) -> str:
        if question.number is not None:
            number = self.localizer.number(value, question.number.decimals)
            return f"{number} {question.number.unit}".strip()
        return next((each.text for each in question.options if each.key == value), str(value))

    def notice(self) -> Notice:
        return NO_NOTICE

    # what a tap means

    def pick(self, key: str) -> None:
        """Choose an option; in the review, reopen that question."""
        question = next((each for each in self.questions() if each.key == self._at), None)
        if key == HOW:
            self._how_open = not self._how_open
        elif question is None:
            self._at = key
        elif key == NEW and question.new:
            self.context.navigator.go(question.new[0])
        elif question.many:
            chosen = self._answers.get(self._at) or []
            self._answers[self._at] = [each for each in chosen if each != key] if key in chosen else [*chosen, key]
        else:
            self._answers[self._at] = key
            self.forward()

    def put(self, value: float | str | None) -> None:
        """Take a number or a text; it counts when the person goes on."""
        if value is None or value == "":
            self._answers.pop(self._at, None)
        else:
            self._answers[self._at] = value

    def forward(self) -> None:
        """Go to the next question, then to the review; save from there (a form without review: after the last one)."""
        keys = [each.key for each in self.questions()]
        last = self._at == REVIEW or (self._at == keys[-1] and not self.reviewed)
        if last:
            self.save()
        elif self._reached_review or self._at == keys[-1]:
            self._at, self._reached_review = REVIEW, True
        else:
            self._at = keys[keys.index(self._at) + 1]

    def step_back(self) -> bool:
        """Go to the question before; False at the first one, where Back leaves the form."""
        keys = [each.key for each in self.questions()]
        place = len(keys) if self._at == REVIEW else keys.index(self._at)
        if place:
            self._at = keys[place - 1]
        return bool(place)

    def back(self) -> None:
        if not self.step_back():
            self.context.navigator.back()

    # what is shown

    @property
    def view(self) -> FormView:
        questions = {each.key: each for each in self.questions()}
        return self._review(questions) if self._at == REVIEW else self._question(questions[self._at], [*questions])

    def _question(self, question: Question, keys: list[str]) -> FormView:
        t, value = self.t, self._answers.get(question.key)
        last = not self.reviewed and question.key == keys[-1]
        forward = t(self.saves) if last else t("Next") if value is not None else t("Skip")
        return FormView(
            key=question.key,
            kind="write" if question.writes else "number" if question.number else "choose",
            title=self._title(keys.index(question.key) + 1, len(keys)),
            ask=question.ask,
            how=question.how if self._how_open else "",
            options=tuple(self._options(question)),
            number=question.number or Number(0),
            value=value if question.number else None,
            text=str(value or "") if question.writes else "",
            hint=question.hint,
            point=self.localizer.conventions.point,
            notice=self.notice(),
            back=t("Back"),
            forward=forward if not question.needed or value is not None else "",
            can_forward=not question.needed or value is not None,
        )

    def _options(self, question: Question) -> Iterator[Option]:
        if question.how:
            yield Option(HOW, self.t("Show me how"), sign="?")
        value = self._answers.get(question.key)
        for each in question.options:
            yield replace(each, chosen=each.key in (value or ()) if question.many else each.key == value)
        if question.new:
            yield Option(NEW, question.new[1], sign="+")

    def _review(self, questions: dict[str, Question]) -> FormView:
        answers = tuple(
            Option(key, question.name, self._answer(question), "✓" if key in self._answers else "○")
            for key, question in questions.items()
        )
        complete = all(key in self._answers for key, question in questions.items() if question.needed)
        return FormView(
            key=REVIEW,
            kind=REVIEW,
            title=self.t(self.title),
            ask=self.t("Check it and save."),
            how="",
            options=answers,
            number=Number(0),
            value=None,
            text="",
            hint="",
            point="",
            notice=self.notice(),
            back=self.t("Back"),
            forward=self.t(self.saves),
            can_forward=complete,
        )

    def _answer(self, question: Question) -> str:
        if question.key not in self._answers:
            return self.t("not entered")
        return self.format_answer(question, self._answers[question.key])

    def _title(self, place: int, of: int) -> str:
        return (
            self.t(self.title) if of == 1 else self.t("{title}, {n} of {of}", title=self.t(self.title), n=place, of=of)
        )
