"""The tray check: empty cells, leaves, roots; and at once whether the trays are ready, and enough."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from mobile.presenters.base.form import NO_NOTICE, REVIEW, Form, FormView, Number, Question
from mobile.presenters.base.options import Notice, Option
from mobile.presenters.base.routes import Route
from shared_models.core.vocabulary import Readiness
from shared_models.i18n.labels import READINESS
from shared_models.records.tables import Sowing, TrayCheck
from shared_models.reports.common.context import ReportContext
from shared_models.reports.plan.trays import Basis, SowingTrays, places_of, sowing_trays, tray_checks
from shared_models.trade.chain import CELLS_PER_TRAY
from shared_models.trade.soil.readiness import Verdict

YES, NO = "yes", "no"
SIGNS = {Readiness.READY: "✓", Readiness.WAIT: "▲", Readiness.NOT_FIT: "✕"}


class TrayCheckForm(Form):
    """A check of one sowing's trays."""

    title = "Tray check"

    def read(self) -> None:
        self._facts = self.context.facts()
        with self.context.notebook.reading() as session:
            reports = ReportContext.of(session, self._facts)
            names = reports.references
            self._checks, self._room = tray_checks(reports), places_of(names)
            kept = [sowing for sowing in names.sowings.values() if not sowing.voided]
        self._sowings = {each.id: each for each in sorted(kept, key=lambda each: each.id, reverse=True)}

    def questions(self) -> Sequence[Question]:
        which = tuple(Option(key, *self._named(sowing)) for key, sowing in self._sowings.items())
        roots = (
            Option(YES, self.t("Yes"), self.t("the cell comes out whole")),
            Option(NO, self.t("No"), self.t("the mix falls apart")),
        )
        ask_roots = self.t("Pull a few cells: do the roots hold the mix?")
        return [
            Question(
                "sowing", self.t("Sowing"), self.t("Which sowing?"), which, new=(Route.SOWING, self.t("New sowing"))
            ),
            Question("cells", self.t("Cells"), self.t("How many cells did you check?"), number=self._cells()),
            Question("empty", self.t("Empty"), self.t("How many are empty?"), number=self._empty()),
            Question("leaves", self.t("Leaves"), self.t("True leaves per plant?"), number=LEAVES, needed=False),
            Question("roots", self.t("Roots"), ask_roots, roots, needed=False),
        ]

    def _named(self, sowing: Sowing) -> tuple[str, str]:
        named = " ".join(part for part in (sowing.crop, sowing.variety) if part)
        age = (self.context.today() - sowing.sown_on).days if sowing.sown_on else None
        old = "" if age is None else self.localizer.tn("{n} day old", "{n} days old", age)
        return named, " · ".join(part for part in (sowing.code, old) if part)

    @property
    def _sowing(self) -> Sowing | None:
        return self._sowings.get(self._answers.get("sowing", ""))

    def _cells(self) -> Number:
        """Starts from a whole tray."""
        sowing = self._sowing
        return Number(start=sowing.cells_per_tray if sowing else CELLS_PER_TRAY, lowest=1)

    def _empty(self) -> Number:
        """Starts from the label's germination."""
        cells, sowing = int(self._answers.get("cells", CELLS_PER_TRAY)), self._sowing
        by_label = self._trays_of(sowing, []).by_label if sowing else None
        return Number(start=round(by_label.p_empty * cells) if by_label else 0, highest=cells)

    # the verdict

    def _trays_of(self, sowing: Sowing, checks: Sequence[TrayCheck]) -> SowingTrays:
        return sowing_trays(self._facts, sowing, checks, self._room.get(sowing.id), self.context.today())

    def _seen(self) -> dict[str, Any]:
        answers = self._answers
        seen: dict[str, Any] = {"cells_seen": int(answers["cells"]), "cells_empty": int(answers["empty"])}
        seen |= {"leaves": int(answers["leaves"])} if "leaves" in answers else {}
        return seen | ({"roots_hold": answers["roots"] == YES} if "roots" in answers else {})

    def _judged(self) -> SowingTrays | None:
        """These answers together with the sowing's earlier checks; None until its cells are counted."""
        sowing = self._sowing
        if sowing is None or not 0 <= self._answers.get("empty", -1) <= self._answers.get("cells", -1):
            return None
        now = TrayCheck(farm_id=self._facts.id, id="", sowing=sowing.id, on=self.context.today(), **self._seen())
        return self._trays_of(sowing, [*self._checks[sowing.id], now])

    def notice(self) -> Notice:
        judged = self._judged() if self._at in ("roots", REVIEW) else None
        if judged is None or judged.now is None:
            return NO_NOTICE
        verdict, t = judged.now, self.localizer.t
        reasons = [t(part) for part in _reasons(verdict) if part]
        word = t(TOO_OLD if _too_old(verdict) else READINESS[verdict.readiness])
        plain = verdict.readiness is Readiness.READY and not reasons
        return Notice(
            SIGNS[verdict.readiness],
            f"{word}. {' '.join(reasons)}" if reasons else word,
            "plain" if plain else "caution",
        )

    @property
    def view(self) -> FormView:
        """The question; in the review, above the answers, the figures that follow from them."""
        view, judged = super().view, self._judged()
        return replace(view, how="\n".join(self._figures(judged))) if view.kind == REVIEW and judged else view

    def _figures(self, judged: SowingTrays) -> list[str]:
        t, localizer = self.t, self.localizer
        lines = []
        if judged.empties is not None:
            lines += [
                t(
                    "Empty cells per tray: about {n}, usually {low} to {high}."
                    if judged.empties.basis is Basis.CHECKS
                    else "Empty cells per tray by the label: about {n}, usually {low} to {high}.",
                    n=localizer.number(judged.empties.expected),
                    low=localizer.number(judged.empties.low),
                    high=localizer.number(judged.empties.high),
                )
            ]
        if judged.germination_seen is not None and judged.sowing.label_germination is not None:
            share, label = (
                localizer.percent(judged.germination_seen),
                localizer.percent(judged.sowing.label_germination),
            )
            lines += [
                t(
                    "Only {share} of the seed came up; the label says {label}."
                    if judged.below_label
                    else "{share} of the seed came up; the label says {label}.",
                    share=share,
                    label=label,
                )
            ]
        return lines + self._trays(judged)

    def _trays(self, judged: SowingTrays) -> list[str]:
        if judged.to_sow is None or judged.places is None:
            return []
        localizer, extra = self.localizer, judged.to_sow.extra
        needed = localizer.tn("{n} tray", "{n} trays", judged.to_sow.trays)
        lines = [
            localizer.t(
                "{n} plants need {trays}, {extra} of them to make up for empty cells."
                if extra
                else "{n} plants need {trays}.",
                n=localizer.number(judged.places),
                trays=needed,
                extra=localizer.number(extra),
            )
        ]
        if judged.short_by:
            lines += [localizer.tn("Sow {n} more tray.", "Sow {n} more trays.", judged.short_by)]
        return lines

    def save(self) -> None:
        seen = self._seen()
        cells = (seen.pop("cells_seen"), seen.pop("cells_empty"))
        self.context.notebook.check_trays(self._answers["sowing"], self.context.today(), *cells, **seen)
        self.context.navigator.go(Route.TODAY)


LEAVES = Number(start=2, highest=20)
TOO_OLD = "Too old"


def _too_old(verdict: Verdict) -> bool:
    return verdict.limiting is not None and verdict.limiting.key == "age_over"


def _reasons(verdict: Verdict) -> list[str]:
    """What holds the trays back and what would change it; else what needs care all the same."""
    if verdict.limiting is not None:
        return [verdict.limiting.reason, verdict.limiting.change]
    return [part for finding in verdict.findings if finding.change for part in (finding.reason, finding.change)]
