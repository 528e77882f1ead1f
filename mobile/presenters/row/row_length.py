"""The length of a row, from fixes of its two ends or by tape. It is proposed with its error; it never overwrites."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from mobile.device.haptics.protocol import Haptic
from mobile.device.location.protocol import Fix, LocationProblem, Search
from mobile.presenters.base.form import NO_NOTICE, Form, FormView, Number, Question
from mobile.presenters.base.lists import beds
from mobile.presenters.base.options import Notice, Option
from mobile.presenters.base.presenter import AppContext
from mobile.presenters.base.routes import Route
from shared_models.core.units import MM_PER_FOOT, MM_PER_METRE
from shared_models.records.tables import RowPass
from shared_models.trade.stand import distance
from shared_models.trade.stand.distance import RowLength, TapeReason

FIXES, TAPE = "fixes", "tape"
FIRST, SECOND = "first", "second"
LOOK, TAKE, STOP = "look", "take", "stop"
FOR_BED, FOR_ROW, FOR_NOTHING = "bed", "row", "nothing"
#: phones say no more than this; a ten-millionth of a degree is a centimetre
DEGREE_DECIMALS, METRE_DECIMALS = 7, 1

HINDRANCES = {
    LocationProblem.NOT_ALLOWED: (
        "Rowend needs the precise location. Allow it in the phone's settings, or use a tape."
    ),
    LocationProblem.OFF: "Location is off. Turn it on, or use a tape.",
    LocationProblem.NO_RECEIVER: "This phone can't find its location. Use a tape.",
}
WHY_TAPE = {
    TapeReason.ERROR_TOO_LARGE: "Not accurate enough for a row this long. Use a tape.",
    TapeReason.TOO_FAR_APART: "These can't be the two ends of one row. Mark them again, or use a tape.",
}


class RowLengthForm(Form):
    """Where it comes from a row, the row is known, and its bed with it. Receivers run only while an end is fixed."""

    title = "Row length"
    reviewed = False

    def __init__(self, context: AppContext, planting: str | None = None, **known: Any) -> None:
        self._planting = planting
        self._search: Search | None = None
        self._row: RowPass | None = None
        state = None if planting is None else context.notebook.row_state(planting)
        super().__init__(context, **({"bed": state.bed_id} if state else {}), **known)

    def read(self) -> None:
        self._beds = {each.bed.id: each.bed for each in beds(self.context)}
        if self._planting is not None:
            self._row = self.context.notebook.row_state(self._planting).at_hand

    def questions(self) -> Sequence[Question]:
        """The bed where it is not known; how; then its two ends, or the length itself; and what it is for."""
        t, by = self.t, self._answers.get("by")
        questions = [] if self._planting else [self._ask_bed()]
        methods = (
            Option(FIXES, t("From its two ends"), t("stand at each end; the phone finds it"), "↔"),
            Option(TAPE, t("By tape"), t("enter the tape reading"), "│"),
        )
        questions += [Question("by", t("How"), t("How is it measured?"), methods)]
        if by == FIXES:
            questions += [self._ask_end(FIRST), self._ask_end(SECOND)]
        elif by == TAPE:
            questions += [Question("length", t("Length"), t("How long is the row?"), number=self._length())]
        return [*questions, Question("for", t("Length"), self._proposed(), self._uses())]

    def _ask_bed(self) -> Question:
        options = tuple(Option(key, bed.name, self._long(bed.length_mm)) for key, bed in self._beds.items())
        return Question("bed", self.t("Bed"), self.t("Which bed?"), options, new=(Route.BED, self.t("New bed")))

    def _long(self, length_mm: float) -> str:
        return self.localizer.length(length_mm)

    def _length(self) -> Number:
        t, feet, bed = self.t, self.localizer.feet, self._beds.get(self._answers.get("bed", ""))
        known = bed.length_mm / self._unit_mm if bed else 1
        if feet:
            return Number(start=round(known), lowest=1, unit=t("ft"))
        return Number(start=round(known * 2) / 2, step=0.5, lowest=0.5, decimals=1, unit=t("m"))

    @property
    def _unit_mm(self) -> float:
        return MM_PER_FOOT if self.localizer.feet else MM_PER_METRE

    # an end of the row

    def _ask_end(self, end: str) -> Question:
        ask = self.t("Stand at one end of the row.") if end == FIRST else self.t("Walk to the other end of the row.")
        return Question(end, self.t("Length"), ask, self._steps())

    def _steps(self) -> tuple[Option, ...]:
        """What can be done at an end: begin, take what there is, stop, or do without."""
        t, search = self.t, self._search
        by_tape = Option(TAPE, t("By tape"), t("enter the tape reading"), "│")
        if search is None:
            text = t("Mark this end") if self._at == FIRST else t("Mark the other end")
            again = t("Mark it again") if self._at in self._answers else text
            return Option(LOOK, again, t("hold the phone still, under the open sky"), "▶"), by_tape
        if search.over:
            return Option(LOOK, t("Try again"), sign="▶"), by_tape
        stop = Option(STOP, t("Stop"), sign="■")
        return (Option(TAKE, t("Use this"), self._off(search.best), "✓"), stop) if search.best else (stop,)

    def _off(self, fix: Fix) -> str:
        return self.t("within about {length}", length=self._long(fix.accuracy_m * MM_PER_METRE))

    def _stands(self) -> str:
        t, search, fixed = self.t, self._search, self._answers.get(self._at)
        if search is None:
            return t("Marked, {off}.", off=self._off(fixed)) if fixed else ""
        if search.problem is not None:
            return t(HINDRANCES[search.problem])
        if search.best is None:
            return t("Finding this spot…")
        return t("Hold still. It gets better for about a minute.")

    def pick(self, key: str) -> None:
        if self._at not in (FIRST, SECOND):
            super().pick(key)
        elif key == LOOK:
            self._look()
        elif key == TAKE and self._search and self._search.best:
            self._use_fix(self._search.best)
        elif key == STOP:
            self._cancel_search()
        elif key == TAPE:
            self._cancel_search()
            self._answers["by"], self._at = TAPE, "length"

    def _look(self) -> None:
        self._search, end = Search(), self._at
        self.context.hardware.awake.keep(on=True)  # a screen that goes off ends the search

        def on_search(search: Search) -> None:
            self.context.navigator.soon(lambda: self._on_location(end, search))

        self.context.hardware.locator.start(on_search)

    def _on_location(self, end: str, search: Search) -> None:
        """News of the search, unless it was given up meanwhile."""
        if self._search is None or self._at != end:
            return
        self._search = search
        if search.over and search.best is not None and search.problem is None:
            self._use_fix(search.best)
        elif search.over:
            self._search_ended()
            self.context.feedback(Haptic.REFUSAL)

    def _use_fix(self, fix: Fix) -> None:
        self._cancel_search()
        self._answers[self._at] = fix
        self.context.feedback(Haptic.END)
        self.forward()

    def _cancel_search(self) -> None:
        if self._search is not None:
            self._search = None
            self.context.hardware.locator.stop()
            self._search_ended()

    def _search_ended(self) -> None:
        """The screen stays on only where a row is open."""
        self.context.hardware.awake.keep(on=self._row is not None and self._row.ended is None)

    def step_back(self) -> bool:
        """A search ends with its question."""
        self._cancel_search()
        return super().step_back()

    def leave(self) -> None:
        self._cancel_search()

    def pause(self) -> None:
        """As when it is left; but the system's own question, whether it may be used, lies over the app too."""
        if self._search is not None and not self._search.asking:
            self._cancel_search()

    # the proposal

    def _measured(self) -> RowLength | None:
        """The length by tape has no error worth telling."""
        answers = self._answers
        if answers.get("by") == FIXES and FIRST in answers and SECOND in answers:
            return distance.row_length(_spot(answers[FIRST]), _spot(answers[SECOND]))
        if answers.get("by") == TAPE and "length" in answers:
            return RowLength(answers["length"] * self._unit_mm, 0.0, needs_tape=False, reason=None)
        return None

    def _proposed(self) -> str:
        found = self._measured()
        if found is None:
            return ""
        if not found.error_mm:
            return self._long(found.length_mm)
        return self.t(
            "{length}, give or take {error}", length=self._long(found.length_mm), error=self._long(found.error_mm)
        )

    def _uses(self) -> tuple[Option, ...]:
        t, row, bed = self.t, self._row, self._beds.get(self._answers.get("bed", ""))
        uses = []
        if row is not None:
            now = t("now {length}", length=self._long(row.length_mm))
            uses += [Option(FOR_ROW, t("Use for row {row}", row=row.row), now)]
        if bed is not None:
            now = t("now {length}; rows already started keep theirs", length=self._long(bed.length_mm))
            uses += [Option(FOR_BED, t("Use for bed {bed}", bed=bed.name), now)]
        return (*uses, Option(FOR_NOTHING, t("Don't change anything"), sign="‹"))

    def notice(self) -> Notice:
        found = self._measured() if self._at == "for" else None
        if found is None or found.reason is None:
            return NO_NOTICE
        return Notice("▲", self.t(WHY_TAPE[found.reason]), "caution")

    @property
    def view(self) -> FormView:
        view = super().view
        return replace(view, how=self._stands()) if self._at in (FIRST, SECOND) else view

    def save(self) -> None:
        """Write the length where it was wanted; with a row go the fixes of its ends."""
        found, answers = self._measured(), self._answers
        if found is not None and answers["for"] == FOR_BED:
            self.context.notebook.write("bed", answers["bed"], {"length_mm": round(found.length_mm)})
        elif found is not None and answers["for"] == FOR_ROW and self._row is not None:
            ends = _end("start", answers[FIRST]) | _end("end", answers[SECOND]) if answers["by"] == FIXES else {}
            self.context.notebook.write("row_pass", self._row.id, {"length_mm": round(found.length_mm), **ends})
        self.context.navigator.back()


def _spot(fix: Fix) -> distance.Fix:
    return distance.Fix(fix.latitude, fix.longitude, fix.accuracy_m)


def _end(name: str, fix: Fix) -> dict[str, float]:
    return {
        f"{name}_latitude": round(fix.latitude, DEGREE_DECIMALS),
        f"{name}_longitude": round(fix.longitude, DEGREE_DECIMALS),
        f"{name}_accuracy_m": round(fix.accuracy_m, METRE_DECIMALS),
    }
