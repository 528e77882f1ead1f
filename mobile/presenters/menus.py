"""Menus: one question, and each answer opens a screen."""

from collections.abc import Sequence
from typing import ClassVar

from mobile.presenters.base.form import Form, Question
from mobile.presenters.base.options import Option
from mobile.presenters.base.routes import Route


class Menu(Form):
    """Which screen? Back from there skips the menu, unless it `stays`: for menus people visit several screens of."""

    reviewed = False
    stays: ClassVar[bool] = False
    ask: ClassVar[str]
    #: in English, by their routes
    entries: ClassVar[tuple[Option, ...]]

    def questions(self) -> Sequence[Question]:
        options = tuple(Option(each.key, self.t(each.text), self.t(each.detail), each.sign) for each in self.entries)
        return [Question("which", self.t(self.title), self.t(self.ask), options)]

    def save(self) -> None:
        self.context.navigator.go(Route(self._answers["which"]), instead=not self.stays)


class ChecksMenu(Menu):
    """Checks, in the order of the season."""

    title = "Check"
    ask = "What do you want to check?"
    entries = (
        Option(Route.SOIL, "Soil check", "is the bed ready to plant?", "▒"),
        Option(Route.TRAYS, "Tray check", "are the plants ready to go out?", "▦"),
        Option(Route.STAND, "Stand count", "how many plants in a measured length", "#"),
        Option(Route.TAPE, "Tape sample", "where each plant is, along a tape", "┼"),
        Option(Route.LENGTH, "Row length", "by GPS or tape", "↔"),
    )


class HistoryMenu(Menu):
    """What can be looked up, the most used first."""

    title = "History"
    stays = True
    ask = "What do you want to see?"
    entries = (
        Option(Route.PACE, "Pace", "how fast it went, and what slowed you", "≡"),
        Option(Route.BEDS, "Beds and soil", "how each bed is now, and was", "▒"),
        Option(Route.ENTRIES, "Entries and corrections", "what was logged, and by whom", "✎"),
        Option(Route.PEOPLE, "People", "who works here", "☺"),
        Option(Route.ABOUT, "About and cautions", "what this app is, and is not", "?"),
        Option(Route.PHONE, "This phone", "language, units, who has it", "…"),
    )


class NewMenu(Menu):
    """What can be added in the field, so that a day can start without the office."""

    title = "New"
    ask = "What do you want to add?"
    entries = (
        Option(Route.PLANTING, "Planting", "a sowing, a bed and a day", "+"),
        Option(Route.BED, "Bed", "name, length, rows", "+"),
        Option(Route.SOWING, "Sowing", "crop, spacing", "+"),
        Option(Route.PERSON, "Person", "someone on the crew", "+"),
    )
