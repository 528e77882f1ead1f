"""The summary of a planted bed: feet, time, rate, misses by row, and where to fill."""

from dataclasses import dataclass

from mobile.device.haptics.protocol import Haptic
from mobile.log import rows
from mobile.presenters.base.labels import name_of
from mobile.presenters.base.options import Option
from mobile.presenters.base.presenter import AppContext, Presenter
from mobile.presenters.base.routes import Route
from mobile.presenters.row.slow_rows import SlowRows
from mobile.presenters.row.undo import Undo
from shared_models.reports.common.context import ReportContext
from shared_models.reports.pace.against_usual import against_usual, beds_before
from shared_models.reports.pace.rates import By, RateLine
from shared_models.reports.rows.rows import LoggedRow, load_planting_rows
from shared_models.trade.stand.stand import FillList, fill_list


@dataclass(frozen=True, slots=True)
class Fact:
    """A figure and what it is."""

    name: str
    figure: str


@dataclass(frozen=True, slots=True)
class SummaryView:
    """The summary. `usual` sets the rate against this crew's earlier beds; `rows` are touched to fill one.

    `fill` says how many spares to carry; `slow_rows` asks about rows that took far too long. Opened from a row or
    a bed (`with_back`), it has `back` in place of `undo`.
    """

    bed: str
    title: str
    facts: tuple[Fact, ...]
    usual: str
    slow_rows: tuple[Option, ...]
    fill: str
    rows: tuple[Option, ...]
    undo: str
    back: str
    today: str


class SummaryPresenter(Presenter):
    """One planting, over all its rows."""

    sync_here = True

    def __init__(self, context: AppContext, planting: str, *, with_back: bool = False) -> None:
        super().__init__(context)
        self._planting, self._with_back = planting, with_back
        self._before: list[LoggedRow] = []
        self._undo = Undo(context)
        self.read()

    def read(self) -> None:
        notebook, facts = self.context.notebook, self.context.facts()
        self._state = notebook.row_state(self._planting)
        with notebook.reading() as session:
            reports = ReportContext.of(session, facts)
            logged = load_planting_rows(reports, {self._planting})
            self._before = self._before or beds_before(reports, logged)
        self._rows = sorted(logged, key=lambda row: (row.row, row.start))
        self._crews = against_usual(logged, self._before, By.CREW, facts, each=By.PLANTING)
        to_fill = [(row.row, row.misses, row.filled) for row in self._rows]
        self._fill: FillList = fill_list(to_fill, facts.setting("spare_fraction"))
        self._undo.show(self._state)
        self._slow_rows = SlowRows(self.context, self._state, facts)

    # what a tap means; the finger that ended the last row must not press anything here

    def fill(self, row_pass: str) -> None:
        if not self._bounced():
            self.context.navigator.go(Route.FILL, planting=self._planting, row_pass=row_pass)

    def ask_about_slow_row(self, row_pass: str) -> None:
        if not self._bounced():
            self.context.navigator.go(Route.SLOW_ROW, row_pass=row_pass)

    def undo(self) -> None:
        """Take back the last action; where that opens a row again, on with it."""
        if self._bounced():
            return
        if self._undo.undo(self._planting).open is not None:
            self.context.navigator.go(Route.ROW, planting=self._planting, instead=True)

    def back(self) -> None:
        if not self._bounced():
            self.context.navigator.back()

    def today(self) -> None:
        if not self._bounced():
            self.context.navigator.go(Route.TODAY)

    def _bounced(self) -> bool:
        last = self._state.last_moment
        bounced = last is not None and rows.is_double_tap(last, self.context.notebook.now())
        if bounced:
            self.context.feedback(Haptic.REFUSAL)
        return bounced

    # what is shown

    @property
    def view(self) -> SummaryView:
        t, state = self.t, self._state
        done = len({row.row for row in state.passes if row.ended is not None})
        title = t(
            "All {rows} rows planted" if state.finished else "{n} of {rows} rows planted",
            rows=state.rows or "?",
            n=done,
        )
        return SummaryView(
            bed=" · ".join(name_of(self.localizer, name) for name in (state.bed, state.crop)),
            title=title,
            facts=self._facts(self._crews.report.total),
            usual=self._usual_text(),
            slow_rows=tuple(row.to_option(self.localizer) for row in self._slow_rows.ended),
            fill=self._fill_text(),
            rows=tuple(self._row(row) for row in self._rows if not row.open),
            undo="" if self._with_back else self._undo.text,
            back=t("Back") if self._with_back else "",
            today=t("Today"),
        )

    def _facts(self, total: RateLine) -> tuple[Fact, ...]:
        localizer, t, work = self.localizer, self.t, total.work
        an_hour = t("row feet an hour" if localizer.feet else "row meters an hour")
        return (
            Fact(t("planted"), localizer.length(work.length_mm)),
            Fact(t("field time"), localizer.duration(work.field_time_s)),
            Fact(an_hour, localizer.length_figure(work.effective_mm_per_h)),
            Fact(t("plants an hour"), localizer.fixed(total.plants_per_h)),
        )

    def _usual_text(self) -> str:
        localizer, usual, share = self.localizer, self._crews.total, self._crews.share(self._crews.report.total)
        if usual is None or share is None:
            return localizer.t("No earlier beds by this crew to compare.")
        rate, beds = localizer.rate(usual.rate), localizer.tn("{n} bed", "{n} beds", usual.times)
        return localizer.t(
            "{share} of this crew's usual {rate}, {beds}", share=localizer.percent(share), rate=rate, beds=beds
        )

    def _fill_text(self) -> str:
        localizer, fill = self.localizer, self._fill
        if not fill.to_fill:
            return localizer.t("Nothing to fill.")
        misses = localizer.tn("{n} miss to fill", "{n} misses to fill", fill.to_fill)
        return f"{misses} · {localizer.tn('carry {n} spare plant', 'carry {n} spare plants', fill.spares)}"

    def _row(self, row: LoggedRow) -> Option:
        took = self.localizer.duration(row.timed.duration_s) if row.timed else "–"
        misses = self.localizer.tn("{n} miss", "{n} misses", row.misses)
        filled = " · " + self.localizer.tn("{n} filled", "{n} filled", row.filled) if row.filled else ""
        sign = "○" if row.misses > row.filled else "✓"
        note = f" · {row.note}" if row.note else ""
        text = self.localizer.t("Row {row} · {time}", row=row.row, time=took)
        return Option(row.id, text, f"{misses}{filled}{note}", sign)
