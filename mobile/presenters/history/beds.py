"""Every bed and its state by its last soil check."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import ClassVar

from mobile.presenters.base.form import Form, Question
from mobile.presenters.base.options import Notice, Option
from mobile.presenters.base.routes import Route
from mobile.presenters.checks.soil import SIGNS
from shared_models.i18n.labels import READINESS
from shared_models.reports.common.context import ReportContext
from shared_models.reports.soil.beds import BedSoil, soil

NOT_CHECKED = "○"


class BedsForm(Form):
    """Which bed?"""

    title = "Beds and soil"
    reviewed: ClassVar[bool] = False

    def read(self) -> None:
        facts, notebook = self.context.facts(), self.context.notebook
        with notebook.reading() as session:
            report = soil(ReportContext.of(session, facts), notebook.now().at)
        self._beds = [bed for bed in report.beds if not bed.retired]

    def questions(self) -> Sequence[Question]:
        t = self.context.localizer.t
        beds = tuple(Option(bed.bed_id, bed.bed, self._state(bed), sign(bed)) for bed in self._beds)
        ask = t("Which bed?" if self._beds else "No beds yet.")
        return [Question("bed", t("Bed"), ask, beds, new=(Route.BED, t("New bed")))]

    def _state(self, bed: BedSoil) -> str:
        t = self.context.localizer.t
        if bed.now is None or bed.checked_h_ago is None:
            return t("Not checked yet")
        state = t("Check again") if bed.stale else t(READINESS[bed.now.readiness])
        return f"{state} · {t('about {span} ago', span=self.context.localizer.span(bed.checked_h_ago))}"

    def notice(self) -> Notice:
        localizer = self.context.localizer
        states = Counter(READINESS[bed.now.readiness] if bed.now and not bed.stale else "" for bed in self._beds)
        counts = [f"{localizer.t(text)}: {states[text]}" for text in READINESS.values() if states[text]]
        counts += [f"{localizer.t('To check')}: {states['']}"] if states[""] else []
        return Notice("", " · ".join(counts), "plain")

    def save(self) -> None:
        self.context.navigator.go(Route.BED_HISTORY, bed=self._answers["bed"])


def sign(bed: BedSoil) -> str:
    """A bed's sign: its verdict, or that it needs a check."""
    return NOT_CHECKED if bed.now is None or bed.stale else SIGNS[bed.now.readiness]
