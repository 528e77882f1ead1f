"""Wrong bed or crop chosen: the rows belong to another planting. One touch chooses it, one confirms."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from mobile.device.haptics.protocol import Haptic
from mobile.log import moving, rows
from mobile.presenters.base.form import NO_NOTICE, REVIEW, Form, FormView, Question
from mobile.presenters.base.labels import name_of
from mobile.presenters.base.lists import beds, block_of, plantings, sowings
from mobile.presenters.base.options import Notice, Option
from mobile.presenters.base.presenter import AppContext
from mobile.presenters.base.routes import Route
from shared_models.errors import UnknownRecord
from shared_models.fields.references import sowing_label
from shared_models.records.tables import RowPass
from shared_models.reports.common.find import ListedPlanting

TO, BED, SOWING, WHICH, PLAN = "to", "bed", "sowing", "which", "plan"
LATELY, EVERY = "lately", "every"


class MoveRowsForm(Form):
    """Where the rows of a planting belong."""

    title = "Other bed or crop"
    saves = "Move"

    def __init__(self, context: AppContext, planting: str) -> None:
        self._planting = planting
        super().__init__(context)
        self._answers[WHICH] = LATELY

    def read(self) -> None:
        notebook = self.context.notebook
        self._state = notebook.row_state(self._planting)
        self._lately = moving.lately(self._state, notebook.now())
        with notebook.reading() as session:
            self._begun = rows.begun_rows(session, notebook.farm)
        self._all = {each.planting.id: each for each in plantings(self.context)}
        self._beds = {each.bed.id: each.bed for each in beds(self.context)}
        self._sowings = {each.id: each for each in sowings(self.context)}
        if self._planting not in self._all:
            raise UnknownRecord("planting", self._planting)

    @property
    def _mine(self) -> ListedPlanting:
        return self._all[self._planting]

    @property
    def _rows(self) -> Sequence[RowPass]:
        return self._lately if self._answers.get(WHICH, LATELY) == LATELY else self._state.passes

    # questions

    def questions(self) -> Sequence[Question]:
        """Where to; a new planting wants its bed or its crop. Which rows, where not all are of this phone and day."""
        questions = [
            Question(TO, self.t("To"), self.t("Where do these rows belong?"), (*self._todays(), *self._others()))
        ]
        if self._answers.get(TO) == BED:
            other = tuple(
                Option(key, bed.name, block_of(bed)) for key, bed in self._beds.items() if key != self._state.bed_id
            )
            questions.append(Question(BED, self.t("Bed"), self.t("Which bed are they in?"), other))
        if self._answers.get(TO) == SOWING:
            sown = (each for each in self._sowings.values() if each.id != self._mine.planting.sowing)
            questions.append(
                Question(
                    SOWING,
                    self.t("Sowing"),
                    self.t("Which sowing is it?"),
                    tuple(Option(each.id, sowing_label(each)) for each in sown),
                )
            )
        if len(self._lately) < len(self._state.passes):
            questions.append(Question(WHICH, self.t("Rows"), self.t("Which rows do you want to move?"), self._which()))
        return questions

    def _todays(self) -> Iterator[Option]:
        """The other plantings that rows are left to plant in today, those that are begun first."""
        today, t = self.context.today(), self.localizer.t
        for key, each in sorted(self._all.items(), key=lambda item: (item[0] not in self._begun, item[0])):
            begun, still = self._begun.get(key, (0, 0))
            day, bed = each.planting.planned_on, self._beds.get(each.planting.bed)
            if key == self._planting or bed is None or each.sowing is None or (begun >= bed.rows and not still):
                continue
            if begun or day is None or day <= today:
                rows_done = t("{n} of {rows} rows planted", n=begun, rows=bed.rows) if begun else t("not started")
                yield Option(key, self._named(each), " · ".join(part for part in (each.sowing.code, rows_done) if part))

    def _others(self) -> Iterator[Option]:
        t, mine = self.t, self._mine
        yield Option(BED, t("Another bed, still {crop}", crop=mine.place.crop), t("adds a planting"), "+")
        yield Option(
            SOWING,
            t("Another crop, still {bed}", bed=name_of(self.localizer, self._state.bed)),
            t("adds a planting"),
            "+",
        )
        yield Option(PLAN, t("The planting itself is wrong"), t("its rows stay with it"), "✎")

    def _which(self) -> tuple[Option, ...]:
        localizer, every = self.localizer, len(self._state.passes)
        lately = localizer.tn("{n} row of this phone", "{n} rows of this phone", len(self._lately))
        return Option(LATELY, lately, localizer.t("planted today")), Option(EVERY, localizer.t("all {n} rows", n=every))

    # what a tap means

    def pick(self, key: str) -> None:
        """A planting that was made wrongly is corrected as an entry."""
        if key == PLAN:
            self.context.navigator.go(Route.ENTRY, kind="planting", record=self._planting)
            return
        if self._at == TO:
            self._answers, self._reached_review = {WHICH: self._answers[WHICH]}, False
        super().pick(key)

    def forward(self) -> None:
        """Which rows is only asked when somebody touches it."""
        super().forward()
        if self._at == WHICH:
            self._at = REVIEW

    def step_back(self) -> bool:
        """Back from the last look to the choice."""
        if self._at == REVIEW:
            self._at = TO
            return True
        return super().step_back()

    def save(self) -> None:
        to = self._move()
        self.context.feedback(Haptic.UNDO, self._confirmation())
        self.context.navigator.go(Route.TODAY)
        done = self.context.notebook.row_state(to).finished
        self.context.navigator.go(Route.SUMMARY if done else Route.ROW, planting=to)

    def _move(self) -> str:
        notebook, only = self.context.notebook, [row.id for row in self._rows]
        to = self._target()
        if to is not None:
            notebook.move_rows(self._planting, to.planting.id, only)
            return to.planting.id
        bed, sowing = self._place()
        today = self.context.today().isoformat()
        return notebook.move_rows_to_new(self._planting, only, bed=bed, sowing=sowing, planned_on=today)

    def _target(self) -> ListedPlanting | None:
        """The planting that was chosen, or that is there already; None where it is to be made."""
        place = self._place()
        same = (each for each in self._all.values() if (each.planting.bed, each.planting.sowing) == place)
        return self._all.get(self._answers[TO]) or next(same, None)

    def _place(self) -> tuple[str, str]:
        answers = self._answers
        chosen, mine = self._all.get(answers[TO]), self._mine.planting
        if chosen is not None:
            return chosen.planting.bed, chosen.planting.sowing
        return answers.get(BED, mine.bed), answers.get(SOWING, mine.sowing)

    # what is shown

    @property
    def view(self) -> FormView:
        view = super().view
        return replace(view, ask=self._confirmation()) if self._at == REVIEW else view

    def _confirmation(self) -> str:
        return self.localizer.tn("{n} row to {place}", "{n} rows to {place}", len(self._rows), place=self._to())

    def _to(self) -> str:
        target, mine = self._target(), self._mine.place
        if target is not None:
            return self._named(target)
        bed, sowing = self._place()
        where, what = self._beds.get(bed), self._sowings.get(sowing)
        here = name_of(self.localizer, self._state.bed)
        return f"{where.name if where else here} · {what.crop if what else mine.crop}"

    def notice(self) -> Notice:
        """Where rows with these numbers are there already, or the bed has not as many."""
        if self._at != REVIEW:
            return NO_NOTICE
        new, (bed, _), t = self._numbers(), self._place(), self.localizer.t
        known = self._beds.get(bed)
        if known is not None and max(new.values(), default=0) > known.rows:
            text = t("{bed} has only {rows} rows. Check the numbers after.", bed=known.name, rows=known.rows)
            return Notice("▲", text, "caution")
        changed = [f"{was} → {now}" for was, now in new.items() if was != now]
        if not changed:
            return NO_NOTICE
        return Notice("✎", t("New row numbers: {numbers}", numbers=", ".join(changed)), "plain")

    def _numbers(self) -> Mapping[int, int]:
        target = self._target()
        taken = (
            {row.row for row in self.context.notebook.row_state(target.planting.id).passes} if target else set[int]()
        )
        return moving.numbers((row.row for row in self._rows), taken)

    def _named(self, listed: ListedPlanting) -> str:
        bed = self._beds.get(listed.planting.bed)
        return f"{bed.name if bed else listed.place.bed} · {listed.place.crop}"
