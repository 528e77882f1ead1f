"""Every bed and its state by its last soil check."""

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
        beds = tuple(Option(bed.bed_id, bed.bed, self._state(bed), sign(bed)) for bed in self._beds)
        ask = self.t("Which bed?" if self._beds else "No beds yet.")
        return [Question("bed", self.t("Bed"), ask, beds, new=(Route.BED, self.t("New bed")))]

    def _state(self, bed: BedSoil) -> str:
        if bed.now is None or bed.checked_h_ago is None:
            return self.t("Not checked yet")
        state = self.t("Check again") if bed.stale else self.t(READINESS[bed.now.readiness])
        return f"{state} · {self.t('about {span} ago', span=self.localizer.span(bed.checked_h_ago))}"

    def notice(self) -> Notice:
        states = Counter(READINESS[bed.now.readiness] if bed.now and not bed.stale else "" for bed in self._beds)
        counts = [f"{self.localizer.t(text)}: {states[text]}" for text in READINESS.values() if states[text]]
        counts += [f"{self.localizer.t('To check')}: {states['']}"] if states[""] else []
        return Notice("", " · ".join(counts), "plain")

    def save(self) -> None:
        self.context.navigator.go(Route.BED_HISTORY, bed=self._answers["bed"])


def sign(bed: BedSoil) -> str:
    """A bed's sign: its verdict, or that it needs a check."""
    return NOT_CHECKED if bed.now is None or bed.stale else SIGNS[bed.now.readiness]
