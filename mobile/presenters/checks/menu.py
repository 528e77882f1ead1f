"""The checks: soil, trays, stand, tape, row length."""

from __future__ import annotations

from collections.abc import Sequence

from mobile.presenters.base.form import Question
from mobile.presenters.base.menu import Menu
from mobile.presenters.base.options import Option
from mobile.presenters.base.routes import Route


class ChecksMenu(Menu):
    """Which check?"""

    title = "Check"

    def questions(self) -> Sequence[Question]:
        t = self.context.localizer.t
        return self.which(
            t("What do you want to check?"),
            Option(Route.SOIL, t("Soil check"), t("is the bed ready to plant?"), "▒"),
            Option(Route.TRAYS, t("Tray check"), t("are the plants ready to go out?"), "▦"),
            Option(Route.STAND, t("Stand count"), t("how many plants in a measured length"), "#"),
            Option(Route.TAPE, t("Tape sample"), t("where each plant is, along a tape"), "┼"),
            Option(Route.LENGTH, t("Row length"), t("by GPS or tape"), "↔"),
        )
