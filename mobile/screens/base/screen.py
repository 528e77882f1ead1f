"""What all screens have in common: a presenter, what it says, and how a tap gets to it."""
# mypy: disallow-subclassing-any=False
# (Kivy ships no types)

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import Any

from kivy.clock import Clock
from kivy.metrics import sp
from kivy.properties import BooleanProperty, NumericProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.gridlayout import GridLayout

from mobile.presenters.base.presenter import Presenter
from mobile.screens.base import theme
from mobile.screens.base.theme import Page, lay_out

WIDE_SP, NARROW_SP = 500, 300


class Screen(Page):
    """A whole screen. `view` is what its presenter says; the .kv beside its module lays it out."""

    presenter = ObjectProperty(rebind=True)
    view = ObjectProperty(rebind=True)
    trouble = StringProperty()
    wide = BooleanProperty(defaultvalue=False)
    narrow = BooleanProperty(defaultvalue=False)
    _tick: Any = None
    _left = False

    def __init__(self, presenter: Presenter) -> None:
        for module in (__file__, inspect.getfile(type(self))):
            lay_out(module)
        super().__init__(presenter=presenter, view=presenter.view, trouble=presenter.trouble)
        self._wait_for_the_second()

    def on_width(self, *_: object) -> None:
        """A tablet has room for a second column; large words on a small phone leave none for signs beside them."""
        self.wide, self.narrow = self.width >= sp(WIDE_SP), self.width <= sp(NARROW_SP)

    def do(self, action: Callable[..., None], *told: Any) -> None:
        """A tap: let the presenter do it, then show how things are."""
        self.presenter.attempt(action, *told)
        self.refresh()

    def step_back(self) -> bool:
        """The way back, as far as it stays in this room."""
        stayed: bool = self.presenter.step_back()
        self.refresh()
        return stayed

    def look_again(self) -> None:
        """Something changed elsewhere."""
        self.presenter.look_again()
        self.refresh()

    def refresh(self, *_: object) -> None:
        """Show what the presenter says now."""
        self.trouble = self.presenter.trouble
        self.view = self.presenter.view
        self._wait_for_the_second()

    def leave(self) -> None:
        """The screen is taken away."""
        self._left = True
        self.presenter.leave()
        self._wait_for_the_second()

    def _wait_for_the_second(self) -> None:
        """A running stopwatch wakes the app once a second; else it sleeps."""
        if self._tick is not None:
            self._tick.cancel()
        if self.presenter.runs and not self._left:
            self._tick = Clock.schedule_once(self.refresh, 1.0)


class Choices(GridLayout):
    """Things to choose from, one to touch for each of `options`; `on_pick` says which. Two columns from `wide_sp`."""

    options = ObjectProperty(())
    wide_sp = NumericProperty(WIDE_SP)
    least = NumericProperty(theme.TARGET)
    font_size = NumericProperty(theme.TEXT)
    __events__ = ("on_pick",)

    def on_pick(self, key: str) -> None:
        """Nothing, until a screen listens."""

    def on_options(self, *_: object) -> None:
        """Lay out one choice each; those that stay are only told anew."""
        kept = {choice.key: choice for choice in self.children}
        self.clear_widgets()
        for option in self.options:
            choice = kept.get(option.key) or self._new(option.key)
            for name in ("text", "detail", "sign", "chosen"):
                setattr(choice, name, getattr(option, name))
            self.add_widget(choice)

    def _new(self, key: str) -> OneOf:
        choice = OneOf(key=key, least=self.least, font_size=self.font_size)
        choice.bind(on_release=lambda _: self.dispatch("on_pick", key))
        self.bind(least=choice.setter("least"), font_size=choice.setter("font_size"))
        return choice


class Sections(BoxLayout):
    """Titles, with things to choose under each; `on_pick` says which."""

    sections = ObjectProperty(())
    least = NumericProperty(theme.TARGET)
    __events__ = ("on_pick",)

    def on_pick(self, key: str) -> None:
        """Nothing, until a screen listens."""

    def on_sections(self, *_: object) -> None:
        """Lay out a title and its choices for each section."""
        self.clear_widgets()
        for section in self.sections:
            choices = Choices(least=self.least)
            choices.options = section.options
            choices.bind(on_pick=lambda _, key: self.dispatch("on_pick", key))
            self.add_widget(theme.Heading(text=section.title, font_size=theme.BUTTON))
            self.add_widget(choices)


class OneOf(theme.Choice):
    """One of the choices."""

    key = StringProperty()
