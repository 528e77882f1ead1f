"""The result of a tape sample, in plain words; then it is saved."""

from collections.abc import Sequence
from dataclasses import replace

from mobile.presenters.base.form import Form, FormView, Question
from mobile.presenters.base.options import Notice
from mobile.presenters.base.presenter import AppContext
from mobile.presenters.base.routes import Route
from mobile.presenters.checks.stand import stand_notice
from mobile.presenters.checks.tape_draft import Draft, draft, drop_draft
from shared_models.reports.stand.skips import OneTape, Skip, one_tape
from shared_models.trade.stand.spacing import Evenness
from shared_models.trade.stand.stand import positions

#: skips listed one by one
SKIPS_SHOWN = 6


class TapeResultForm(Form):
    """The indices of ISO 7256-1 in a grower's words, and the skips with their places."""

    title = "Tape sample"
    reviewed = False

    def __init__(self, context: AppContext, planting: str, row: int, length_mm: int) -> None:
        where, begun = Draft(planting, row, length_mm), draft(context.notebook)
        self._tape = begun if begun is not None and begun.where == where.where else where
        self._state = context.notebook.row_state(planting)
        super().__init__(context)

    @property
    def _sample(self) -> OneTape:
        return one_tape(self._tape.placed, self._state.require_spacing_mm())

    def questions(self) -> Sequence[Question]:
        t, localizer = self.t, self.localizer
        plants = localizer.tn("{n} plant", "{n} plants", len(self._tape.placed))
        ask = t("{plants} in {length}", plants=plants, length=localizer.length(self._tape.length_mm))
        return [Question("result", t("Result"), ask, needed=False)]

    def notice(self) -> Notice:
        places = positions(self._tape.length_mm, self._state.require_spacing_mm())
        return stand_notice(self.localizer, len(self._tape.placed), places)

    @property
    def view(self) -> FormView:
        return replace(super().view, how="\n".join(self._figures(self._sample)))

    def _figures(self, sample: OneTape) -> list[str]:
        if sample.evenness is None:
            return [self.t("Mark at least two plants on the tape.")]
        return [*self._shares(sample.evenness), *self._skips(sample)]

    def _shares(self, even: Evenness) -> list[str]:
        t, localizer = self.t, self.localizer
        spacing = localizer.spacing(self._state.require_spacing_mm())
        lines = [
            t(
                "Good gaps: {share} (quality of feed): one plant where it should be, at {spacing}.",
                share=localizer.percent(even.quality_of_feed),
                spacing=spacing,
            ),
            t("Skips: {share} (miss index).", share=localizer.percent(even.miss_index)),
            t("Too close: {share} (multiples index).", share=localizer.percent(even.multiples_index)),
        ]
        if even.precision is not None:
            spread = t(
                "Spread of good gaps: {share} of the spacing (precision). "
                "Lower is more even; 29% is as uneven as it gets.",
                share=localizer.percent(even.precision),
            )
            lines.append(spread)
        return lines

    def _skips(self, sample: OneTape) -> list[str]:
        lines = [self._skip(skip) for skip in sample.skips[:SKIPS_SHOWN]]
        more = len(sample.skips) - len(lines)
        return lines + ([self.localizer.tn("and {n} more skip", "and {n} more skips", more)] if more else [])

    def _skip(self, skip: Skip) -> str:
        missing = self.localizer.tn("{n} plant missing", "{n} plants missing", skip.missing)
        gap, after = self.localizer.spacing(skip.gap_mm), self.localizer.spacing(skip.after_mm)
        return self.localizer.t("Skip of {gap} after {place}: {missing}.", gap=gap, place=after, missing=missing)

    def save(self) -> None:
        places = sorted(self._tape.placed)
        tape = self._tape
        self.context.notebook.count_stand(tape.planting, tape.row, tape.length_mm, len(places), positions_mm=places)
        drop_draft(self.context.notebook)
        self.context.navigator.go(Route.TODAY)
