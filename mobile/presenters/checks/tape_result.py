"""What a tape sample says, in plain words; then it is written down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from mobile.presenters.base.form import Form, FormView, Question
from mobile.presenters.base.presenter import Kit
from mobile.presenters.base.routes import Place
from mobile.presenters.checks.stand import stand_told
from mobile.presenters.checks.tape_draft import Draft, draft, drop
from mobile.presenters.sync.status import Held
from shared_models.reports.stand.skips import OneTape, Skip, one_tape
from shared_models.trade.stand.spacing import Evenness
from shared_models.trade.stand.stand import positions

#: more skips than this are not read one by one
SKIPS_TOLD = 6


class TapeResultForm(Form):
    """The indices of ISO 7256-1 as a grower would put them, and the skips with their places."""

    title = "Tape sample"
    reviewed = False

    def __init__(self, kit: Kit, planting: str, row: int, length_mm: int) -> None:
        where, begun = Draft(planting, row, length_mm), draft(kit.notebook)
        self._tape = begun if begun is not None and begun.where == where.where else where
        self._state = kit.notebook.row_state(planting)
        super().__init__(kit)

    @property
    def _sample(self) -> OneTape:
        return one_tape(self._tape.placed, self._state.spacing_mm)

    def questions(self) -> Sequence[Question]:
        """Nothing more is asked: it is read, and saved."""
        say, speech = self.kit.speech.say, self.kit.speech
        plants = speech.count("{n} plant", "{n} plants", len(self._tape.placed))
        ask = say("{plants} in {length}", plants=plants, length=speech.length(self._tape.length_mm))
        return [Question("result", say("Result"), ask, needed=False)]

    def news(self) -> Held:
        """The stand, as a plain count would have it."""
        places = positions(self._tape.length_mm, self._state.spacing_mm)
        return stand_told(self.kit.speech, len(self._tape.placed), places)

    @property
    def view(self) -> FormView:
        """What the plants say."""
        return replace(super().view, how="\n".join(self._figures(self._sample)))

    def _figures(self, sample: OneTape) -> list[str]:
        if sample.evenness is None:
            return [self.kit.speech.say("Two plants make a gap; put more on the tape.")]
        return [*self._shares(sample.evenness), *self._skips(sample)]

    def _shares(self, even: Evenness) -> list[str]:
        say, speech = self.kit.speech.say, self.kit.speech
        spacing = speech.spacing(self._state.spacing_mm)
        told = [
            say(
                "Good gaps: {share} (quality of feed). One plant where one belongs, at {spacing}.",
                share=speech.share(even.quality_of_feed),
                spacing=spacing,
            ),
            say("Skips: {share} (miss index).", share=speech.share(even.miss_index)),
            say("Too close: {share} (multiples index).", share=speech.share(even.multiples_index)),
        ]
        if even.precision is not None:
            spread = say(
                "Spread of the good gaps: {share} of the spacing (precision). Small is even; 29% is not even at all.",
                share=speech.share(even.precision),
            )
            told.append(spread)
        return told

    def _skips(self, sample: OneTape) -> list[str]:
        speech = self.kit.speech
        told = [self._skip(skip) for skip in sample.skips[:SKIPS_TOLD]]
        more = len(sample.skips) - len(told)
        return told + ([speech.count("and {n} skip more", "and {n} skips more", more)] if more else [])

    def _skip(self, skip: Skip) -> str:
        speech = self.kit.speech
        missing = speech.count("{n} plant missing", "{n} plants missing", skip.missing)
        gap, after = speech.spacing(skip.gap_mm), speech.spacing(skip.after_mm)
        return speech.say("Skip of {gap} after {place}: {missing}.", gap=gap, place=after, missing=missing)

    def save(self) -> None:
        """Write the sample."""
        places = sorted(self._tape.placed)
        told = {"positions_mm": places}
        self.kit.notebook.count_stand(self._tape.planting, self._tape.row, self._tape.length_mm, len(places), **told)
        drop(self.kit.notebook)
        self.kit.ways.go(Place.TODAY)
