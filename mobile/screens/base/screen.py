"""What all screens have in common: a presenter, its view, and how a tap gets to it."""
# mypy: disallow-subclassing-any=False
# (Kivy ships no types)

from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar

from kivy.clock import Clock
from kivy.factory import Factory
from kivy.metrics import sp
from kivy.properties import BooleanProperty, NumericProperty, ObjectProperty, StringProperty
from kivy.uix.boxlayout import BoxLayout
from kivy.uix.gridlayout import GridLayout

from mobile.presenters.base.presenter import Presenter
from mobile.screens.base import theme

WIDE_SP, NARROW_SP = 500, 300


class Screen(theme.Page):
    """A whole screen. `view` is what its presenter gives; the .kv named by `layout` lays it out."""

    layout: ClassVar[str]
    presenter = ObjectProperty(rebind=True)
    view = ObjectProperty(rebind=True)
    trouble = StringProperty()
    wide = BooleanProperty(defaultvalue=False)
    narrow = BooleanProperty(defaultvalue=False)
    _tick: Any = None
    _left = False

    def __init__(self, presenter: Presenter) -> None:
        theme.load_kv("base/screen", self.layout)
        super().__init__(presenter=presenter, view=presenter.view, trouble=presenter.trouble)
        self._schedule_tick()

    def on_width(self, *_: object) -> None:
        """Tell wide screens (a second column fits) and narrow ones (large text leaves no space for signs beside it)."""
        self.wide, self.narrow = self.width >= sp(WIDE_SP), self.width <= sp(NARROW_SP)

    def do(self, action: Callable[..., None], *args: Any) -> None:
        self.presenter.attempt(action, *args)
        self.refresh()

    def step_back(self) -> bool:
        stayed: bool = self.presenter.step_back()
        self.refresh()
        return stayed

    def reload(self) -> None:
        """Read the notebook again, since something changed elsewhere, and refresh."""
        self.presenter.reload()
        self.refresh()

    def refresh(self, *_: object) -> None:
        self.trouble = self.presenter.trouble
        self.view = self.presenter.view
        self._schedule_tick()

    def leave(self) -> None:
        self._left = True
        self.presenter.leave()
        self._schedule_tick()

    def _schedule_tick(self) -> None:
        """A running stopwatch refreshes once a second; else nothing wakes the app."""
        if self._tick is not None:
            self._tick.cancel()
        if self.presenter.ticks and not self._left:
            self._tick = Clock.schedule_once(self.refresh, 1.0)


class Choices(GridLayout):
    """A button for each of `options`; `on_pick` gives the key of the one tapped. Two columns from `wide_sp`."""

    options = ObjectProperty(())
    wide_sp = NumericProperty(WIDE_SP)
    least = NumericProperty(theme.TARGET)
    font_size = NumericProperty(theme.TEXT)
    __events__ = ("on_pick",)

    def on_pick(self, key: str) -> None:
        """Kivy's default handler: nothing."""

    def on_options(self, *_: object) -> None:
        """Show the options; buttons whose key stays are kept."""
        kept = {choice.key: choice for choice in self.children}
        self.clear_widgets()
        for option in self.options:
            choice = kept.get(option.key) or self._new(option.key)
            for name in ("text", "detail", "sign", "chosen"):
                setattr(choice, name, getattr(option, name))
            self.add_widget(choice)

    def _new(self, key: str) -> ChoiceOf:
        choice = ChoiceOf(key=key, least=self.least, font_size=self.font_size)
        choice.bind(on_release=lambda _: self.dispatch("on_pick", key))
        self.bind(least=choice.setter("least"), font_size=choice.setter("font_size"))
        return choice


class ChoiceOf(theme.Choice):
    """One of the choices."""

    key = StringProperty()


class Sections(BoxLayout):
    """Choices under titles; `on_pick` gives the key of the one tapped."""

    sections = ObjectProperty(())
    least = NumericProperty(theme.TARGET)
    __events__ = ("on_pick",)

    def on_pick(self, key: str) -> None:
        """Kivy's default handler: nothing."""

    def on_sections(self, *_: object) -> None:
        self.clear_widgets()
        for section in self.sections:
            choices = Choices(least=self.least)
            choices.options = section.options
            choices.bind(on_pick=lambda _, key: self.dispatch("on_pick", key))
            self.add_widget(theme.Heading(text=section.title, font_size=theme.BUTTON))
            self.add_widget(choices)


class ItemList(GridLayout):
    """One widget of `item_class` for each of `items`."""

    item_class = StringProperty()
    items = ObjectProperty(())

    def on_items(self, *_: object) -> None:
        self.clear_widgets()
        for item in self.items:
            self.add_widget(Factory.get(self.item_class)(item=item))


class Item(BoxLayout):
    """One item of an `ItemList`."""

    item = ObjectProperty()
