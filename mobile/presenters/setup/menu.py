"""What can be added in the field, so that a day can start without the office."""

from __future__ import annotations

from collections.abc import Sequence

from mobile.presenters.base.form import Question
from mobile.presenters.base.menu import Menu
from mobile.presenters.base.options import Option
from mobile.presenters.base.routes import Route


class NewMenu(Menu):
    """What to add?"""

    title = "New"

    def questions(self) -> Sequence[Question]:
        t = self.context.localizer.t
        return self.which(
            t("What do you want to add?"),
            Option(Route.PLANTING, t("Planting"), t("a sowing, a bed and a day"), "+"),
            Option(Route.BED, t("Bed"), t("name, length, rows"), "+"),
            Option(Route.SOWING, t("Sowing"), t("crop, spacing"), "+"),
            Option(Route.PERSON, t("Person"), t("someone on the crew"), "+"),
        )
