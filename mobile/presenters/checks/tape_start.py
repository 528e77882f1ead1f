"""The start of a tape sample: planting, row and length."""

from collections.abc import Sequence
from typing import Any

from mobile.presenters.base.form import NO_NOTICE, Question
from mobile.presenters.base.options import Notice, Option
from mobile.presenters.base.routes import Route
from mobile.presenters.checks.stand import StandCountForm
from mobile.presenters.checks.tape_draft import Draft, draft, drop_draft

GO_ON, NEW = "go on", "new"


class TapeStartForm(StandCountForm):
    """As for a stand count, but plants are marked on the tape. An unfinished sample is offered first."""

    title = "Tape sample"
    saves = "Start the tape"
    reviewed = False

    def read(self) -> None:
        """Read the plantings and the unfinished sample; one without plants does not count."""
        super().read()
        begun = draft(self.context.notebook)
        self._begun = begun if begun is not None and begun.planting in self._plantings else None

    def questions(self) -> Sequence[Question]:
        questions = list(super().questions()[:3])
        return questions if self._begun is None else [self._ask_begun(self._begun), *questions]

    def _ask_begun(self, begun: Draft) -> Question:
        t, localizer = self.t, self.localizer
        where = self._named(self._plantings[begun.planting])[0]
        plants = localizer.tn("{n} plant", "{n} plants", len(begun.placed))
        detail = t("{bed}, row {row}: {plants}", bed=where, row=begun.row, plants=plants)
        options = (Option(GO_ON, t("Continue it"), detail, "▶"), Option(NEW, t("Start a new one"), sign="+"))
        return Question("begun", t("Started"), t("You have a tape sample started."), options)

    def pick(self, key: str) -> None:
        begun = self._begun
        if self._at == "begun" and key == GO_ON and begun is not None:
            self.context.navigator.go(Route.TAPE_STRIP, instead=True, **begun.where)
        else:
            super().pick(key)

    def notice(self) -> Notice:
        return NO_NOTICE

    def save(self) -> None:
        answers: dict[str, Any] = self._answers
        if answers.get("begun") == NEW:
            drop_draft(self.context.notebook)
        self.context.navigator.go(
            Route.TAPE_STRIP,
            planting=answers["planting"],
            row=int(answers["row"]),
            length_mm=self._length_mm,
            instead=True,
        )
