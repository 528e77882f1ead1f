"""What can be looked up: pace, beds, entries, people, this phone."""

from __future__ import annotations

from collections.abc import Sequence

from mobile.presenters.base.form import Question
from mobile.presenters.base.menu import Menu
from mobile.presenters.base.options import Option
from mobile.presenters.base.routes import Route


class HistoryMenu(Menu):
    """What to see?"""

    title = "History"
    comes_again = True

    def questions(self) -> Sequence[Question]:
        t = self.context.localizer.t
        return self.which(
            t("What do you want to see?"),
            Option(Route.PACE, t("Pace"), t("how fast it went, and what slowed you"), "≡"),
            Option(Route.BEDS, t("Beds and soil"), t("how each bed is now, and was"), "▒"),
            Option(Route.ENTRIES, t("Entries and corrections"), t("what was logged, and by whom"), "✎"),
            Option(Route.PEOPLE, t("People"), t("who works here"), "☺"),
            Option(Route.ABOUT, t("About and cautions"), t("what this app is, and is not"), "?"),
            Option(Route.PHONE, t("This phone"), t("language, units, who has it"), "…"),
        )
