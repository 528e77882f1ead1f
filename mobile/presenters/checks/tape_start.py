"""A tape sample, before the tape: which planting, which row, how long a stretch."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from mobile.presenters.base.form import NOTHING_TOLD, Question
from mobile.presenters.base.options import Option
from mobile.presenters.base.routes import Route
from mobile.presenters.checks.stand import StandForm
from mobile.presenters.checks.tape_draft import Draft, draft, drop
from mobile.presenters.sync.status import Notice

GO_ON, NEW = "go on", "new"


class TapeForm(StandForm):
    """As for a plain count, but the plants are put on the tape. A sample that was begun is offered first."""

    title = "Tape sample"
    saves = "Start the tape"
    reviewed = False

    def read(self) -> None:
        """A sample is begun once a plant is on its tape."""
        super().read()
        begun = draft(self.context.notebook)
        self._begun = begun if begun is not None and begun.planting in self._plantings else None

    def questions(self) -> Sequence[Question]:
        """Planting, row and length."""
        asked = list(super().questions()[:3])
        return asked if self._begun is None else [self._ask_begun(self._begun), *asked]

    def _ask_begun(self, begun: Draft) -> Question:
        t, localizer = self.context.localizer.t, self.context.localizer
        where = self._named(self._plantings[begun.planting])[0]
        plants = localizer.tn("{n} plant", "{n} plants", len(begun.placed))
        detail = t("{bed}, row {row}: {plants}", bed=where, row=begun.row, plants=plants)
        options = (Option(GO_ON, t("Continue it"), detail, "▶"), Option(NEW, t("Start a new one"), sign="+"))
        return Question("begun", t("Started"), t("You have a tape sample started."), options)

    def pick(self, key: str) -> None:
        """Straight back to the tape that was begun; or away with it, for another one."""
        begun = self._begun
        if self._at == "begun" and key == GO_ON and begun is not None:
            self.context.navigator.go(Route.STRIP, instead=True, **begun.where)
        else:
            super().pick(key)

    def news(self) -> Notice:
        """Nothing yet."""
        return NOTHING_TOLD

    def save(self) -> None:
        """To the tape."""
        told: dict[str, Any] = self._answers
        if told.get("begun") == NEW:
            drop(self.context.notebook)
        self.context.navigator.go(
            Route.STRIP, planting=told["planting"], row=int(told["row"]), length_mm=self._length_mm, instead=True
        )
