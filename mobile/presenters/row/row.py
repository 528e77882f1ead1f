"""The row: one big button, a miss, a stop. All that is needed between two headlands."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from typing_extensions import override

from mobile.device.haptics.protocol import Haptic
from mobile.log import rows
from mobile.log.rows import RowState, RowTap
from mobile.presenters.base.labels import name_of
from mobile.presenters.base.lists import people, soil_now
from mobile.presenters.base.options import Option
from mobile.presenters.base.presenter import AppContext, Presenter
from mobile.presenters.base.routes import Route
from mobile.presenters.row.slow_rows import SlowRow, SlowRows
from mobile.presenters.row.time_left import LEAST_S, seconds_left
from mobile.presenters.row.undo import Undo
from shared_models.core.moments import Moment, elapsed_s
from shared_models.core.vocabulary import StopReason
from shared_models.errors import UnknownRecord
from shared_models.i18n.labels import READINESS, STOPS, inline
from shared_models.records.tables import RowPass
from shared_models.trade.soil.readiness import Verdict

START, END, GO_ON, STOP = "▶", "■", "▶", "‖"
NOTHING, UNKNOWN = "–", "?"
CREW_LETTERS, NAME_LETTERS = 20, 8
#: of a bed and its crop; what goes beyond is the crop's
PLACE_LETTERS, LEAST_OF_CROP = 48, 8


@dataclass(frozen=True, slots=True)
class RowView:
    """The row screen. `slow_rows` asks, in the place of `state`; `tone` is the big button's."""

    bed: str
    title: str
    state: str
    left: str
    slow_rows: tuple[Option, ...]
    depth_and_crew: str
    undo: str
    miss: str
    misses: str
    can_miss: bool
    stop: str
    stop_sign: str
    stopped: str
    can_stop: bool
    button: str
    sign: str
    tone: str


class RowContext:
    """What goes with the rows of a planting and no tap on them changes. Made anew when something changed elsewhere."""

    def __init__(self, context: AppContext, state: RowState) -> None:
        self._context, self._bed = context, state.bed_id
        facts = context.facts()
        self.longest_turn_s = facts.setting("longest_turn_s")
        self.people = people(context)
        self.slow_rows = SlowRows(context, state, facts)

    @cached_property
    def soil(self) -> Verdict | None:
        return soil_now(self._context, self._bed)

    @cached_property
    def last_row(self) -> RowPass | None:
        """The row this phone began last, in another bed while none is begun in this."""
        return self._context.notebook.last_row()


class RowPresenter(Presenter):
    """A planting, row by row."""

    def __init__(self, context: AppContext, planting: str) -> None:
        super().__init__(context)
        self._planting = planting
        self._undo = Undo(context)
        self.read()
        #: the finger that brought us here must not press the button too: it may only end a row that runs
        self._pressed: Moment | None = None if self._moving else context.notebook.now()

    @override
    def read(self) -> None:
        state = self.context.notebook.row_state(self._planting)
        self._row_context = RowContext(self.context, state)
        self._show(state)

    @override
    def after_tap(self) -> None:
        self._show(self._state)

    def _show(self, state: RowState) -> None:
        """Show these rows; the screen stays on while one is open."""
        row_context = self._row_context
        self._state, is_open = state, state.open is not None
        elsewhere = None if is_open or state.passes else row_context.last_row
        self._next = {} if is_open else self.context.notebook.next_setting(state, elsewhere)
        self._left_s = seconds_left(state, row_context.longest_turn_s) if state.rows_left and not is_open else None
        self._soil = None if state.passes else row_context.soil
        self._undo.show(state)
        row_context.slow_rows.show(state)
        self.context.hardware.awake.keep(on=is_open)
        self.ticks = is_open

    # what a tap means

    def press(self) -> None:
        now, state = self.context.notebook.now(), self._state
        if self._pressed is not None and rows.is_double_tap(self._pressed, now):
            self.context.feedback(Haptic.REFUSAL)
        elif self._stop is not None:
            self.go_on()
        elif state.open is None and state.next_row is None:
            self.to_summary()
        else:
            self._tap_row()

    def _tap_row(self) -> None:
        number, t = self._number, self.localizer.t
        tap, self._state = self.context.notebook.tap_row(self._planting, self._next)
        if tap is RowTap.IGNORED:
            self.context.feedback(Haptic.REFUSAL)
        elif tap is RowTap.STARTED:
            self.context.feedback(Haptic.START, t("row {row} started", row=number))
        elif not self._state.finished:
            self.context.feedback(Haptic.END, t("row {row} ended", row=number))
        else:
            all_done = t("All {rows} rows planted", rows=self._state.rows)
            self.context.feedback(Haptic.END, f"{t('row {row} ended', row=number)}. {all_done}")
            self.bed_done()

    def bed_done(self) -> None:
        self.to_summary()

    def to_summary(self) -> None:
        self.context.navigator.go(Route.SUMMARY, planting=self._planting, instead=True)

    def row_key(self) -> Callable[[], None]:
        return self.press

    def long_key(self) -> Callable[[], None]:
        return self.miss

    def miss(self) -> None:
        self._state = self.context.notebook.miss(self._planting)
        misses = self._state.require_at_hand().misses
        self.context.feedback(Haptic.MISS, self.t("miss, {n}", n=misses))

    def stop(self) -> None:
        """Ask why; or go on, when the row stands still."""
        if self._stop is None:
            self.context.navigator.go(Route.STOP, planting=self._planting)
        else:
            self.go_on()

    def go_on(self) -> None:
        self._state = self.context.notebook.go_on(self._planting)
        self._pressed = self.context.notebook.now()
        self.context.feedback(Haptic.START, self.t("go on"))

    def undo(self) -> None:
        self._state = self._undo.undo(self._planting)

    def ask_about_slow_row(self, row_pass: str) -> None:
        """A row that took far too long: ask what it was. Whoever goes on without an answer is asked again."""
        self.context.navigator.go(Route.SLOW_ROW, row_pass=row_pass)

    def row_settings(self) -> None:
        self.context.navigator.go(Route.ROW_SETTINGS, planting=self._planting)

    # what is shown

    @property
    def _number(self) -> int | None:
        """The row that is open, or comes next."""
        return self._state.open.row if self._state.open else self._state.next_row

    @property
    def _stop(self) -> StopReason | None:
        row = self._state.open
        return StopReason(row.stop_entries[-1].reason) if row is not None and rows.open_stop(row) else None

    @property
    def _slow(self) -> SlowRow | None:
        """The open row while it moves, else the last one that ended, where it took far too long."""
        if self._state.open is not None:
            return self._row_context.slow_rows.open if self._moving else None
        return next(iter(self._row_context.slow_rows.ended), None)

    @property
    def _moving(self) -> bool:
        return self._state.open is not None and self._stop is None

    @property
    def view(self) -> RowView:
        t, state, row = self.t, self._state, self._state.at_hand
        stopped, slow = self._stop is not None, self._slow
        button, sign, tone = self._button()
        return RowView(
            bed=self._place(),
            title=self._title(),
            state=self._state_text(),
            left=self._left(),
            slow_rows=(slow.to_option(self.localizer),) if slow and not self.trouble else (),
            depth_and_crew=self._depth_and_crew(),
            undo=self._undo.text,
            miss=t("miss") if state.open or not row else t("miss, row {row}", row=row.row),
            misses=str(row.misses) if row else NOTHING,
            can_miss=row is not None,
            stop=t("go on") if stopped else t("stop"),
            stop_sign=GO_ON if stopped else STOP,
            stopped=self._stopped_for(),
            can_stop=state.open is not None,
            button=button,
            sign=sign,
            tone=tone,
        )

    def _place(self) -> str:
        """Bed and crop, so short that a long name leaves the button its place."""
        bed, crop = (name_of(self.localizer, name) for name in (self._state.bed, self._state.crop))
        letters = max(LEAST_OF_CROP, PLACE_LETTERS - len(bed))
        return f"{bed} · {crop if len(crop) <= letters else crop[: letters - 1].rstrip() + '…'}"

    def _title(self) -> str:
        t, state = self.t, self._state
        number = self._number
        if number is None:
            return t("All {rows} rows planted", rows=state.rows)
        return t("Row {row} of {rows}", row=number, rows=state.rows or UNKNOWN)

    def _state_text(self) -> str:
        t, row, now = self.t, self._state.at_hand, self.context.notebook.now()
        if row is None:
            if self._soil is None:
                return t("not started")
            return t("not started · soil: {verdict}", verdict=inline(t(READINESS[self._soil.readiness])))
        if row.ended is None:
            reason = self._stop
            if reason is not None:
                return t("stopped: {reason}", reason=inline(t(STOPS[reason])))
            return t("open {time}", time=self.localizer.stopwatch(elapsed_s(row.started, now)))
        took = self.localizer.duration(elapsed_s(row.started, row.ended))
        return t("row {row} took {time}", row=row.row, time=took)

    def _left(self) -> str:
        if self._left_s is None:
            return ""
        about = self.localizer.duration(round(self._left_s / LEAST_S) * LEAST_S)
        return self.localizer.tn(
            "{n} row left, about {time}", "{n} rows left, about {time}", self._state.rows_left, time=about
        )

    def _stopped_for(self) -> str:
        row, now = self._state.open, self.context.notebook.now()
        if row is None:
            return NOTHING
        seconds = sum(elapsed_s(stop.began, stop.ended or now) for stop in row.stop_entries)
        return self.localizer.stopwatch(seconds)

    def _button(self) -> tuple[str, str, str]:
        t, state = self.t, self._state
        if self._stop is not None:
            return t("Go on"), GO_ON, "caution"
        if state.open is not None:
            return t("End row {row}", row=state.open.row), END, "strong"
        if state.next_row is not None:
            return t("Start row {row}", row=state.next_row), START, "strong"
        return t("Summary"), "✓", "strong"

    def _depth_and_crew(self) -> str:
        notch = self._next_or_open("depth_notch")
        parts = [self.t("notch {n}", n=notch)] if notch is not None else []
        people = self._row_context.people
        crew = [people[each] for each in self._next_or_open("crew") or [] if each in people]
        parts += [self._crew(crew)] if crew else []
        return " · ".join(parts) or self.t("Depth and crew")

    def _crew(self, names: list[str]) -> str:
        """Everybody by first name, or only how many they are where that is more than a button can say."""
        first = [name.split()[0] for name in names]
        text = self.localizer.people(first if len({*first}) == len(names) else names)
        short = len(text) <= CREW_LETTERS and all(len(name) <= NAME_LETTERS for name in text.split(", "))
        return text if short else self.localizer.tn("{n} person", "crew of {n}", len(names))

    def _next_or_open(self, name: str) -> Any:
        row = self._state.open
        return self._next.get(name) if row is None else getattr(row, name)


def opening(context: AppContext) -> tuple[Route, dict[str, Any]]:
    """Where the app opens: in the row it was in, or in the turn after one; else with the day's plantings."""
    notebook, today = context.notebook, (Route.TODAY, dict[str, Any]())
    try:
        planting = notebook.current_planting()
    except UnknownRecord:  # what its rows were taken back from is flagged, or has not arrived yet
        return today
    if planting is None:
        return today
    last = notebook.row_state(planting).last
    longest_s = context.facts().setting("longest_turn_s")
    if last is not None and last.ended is not None and not 0 <= elapsed_s(last.ended, notebook.now()) <= longest_s:
        return today
    return Route.ROW, {"planting": planting}
