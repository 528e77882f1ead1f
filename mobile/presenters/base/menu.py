"""A menu: one question, and each answer leads to a room."""

from __future__ import annotations

from typing import ClassVar

from mobile.presenters.base.form import Form, Question
from mobile.presenters.base.options import Option
from mobile.presenters.base.routes import Route


class Menu(Form):
    """Which room? The way back from there leads past the menu, or to it again where people go from one to the next."""

    reviewed = False
    comes_again: ClassVar[bool] = False

    def which(self, ask: str, *rooms: Option) -> list[Question]:
        return [Question("which", self.context.localizer.t(self.title), ask, rooms)]

    def save(self) -> None:
        self.context.navigator.go(Route(self._answers["which"]), instead=not self.comes_again)
