"""Rows so slow that a tap was probably forgotten."""

from dataclasses import dataclass

from mobile.i18n.localizer import Localizer
from mobile.log.rows import RowState
from mobile.presenters.base.options import Option
from mobile.presenters.base.presenter import AppContext
from shared_models.core.moments import elapsed_s
from shared_models.records.tables import RowPass
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.rows.usual_row import row_time_s, usual

S_PER_MINUTE = 60
KEPT = "kept_rows"
#: rows that are remembered as slow on purpose; older ones are far up the list by then
MOST_KEPT = 50


@dataclass(frozen=True, slots=True)
class SlowRow:
    """A row that took far longer than `usual_s`, or still does. `planted_s` is what of it was no stop."""

    row: RowPass
    took_s: float
    planted_s: float
    usual_s: float

    def to_option(self, localizer: Localizer) -> Option:
        time = localizer.duration(self.took_s)
        if self.row.ended is None:
            return Option(self.row.id, localizer.t("Open {time}. Still going?", time=time), sign="▲")
        return Option(
            self.row.id, localizer.t("Row {row} looks long. Was there a break?", row=self.row.row, time=time), sign="▲"
        )

    def text(self, localizer: Localizer) -> str:
        row, time, usual = self.row.row, localizer.duration(self.took_s), approximately(localizer, self.usual_s)
        if self.row.ended is None:
            return localizer.t("Row {row} has been open {time}, usually {usual}.", row=row, time=time, usual=usual)
        return localizer.t("Row {row} took {time}, usually {usual}.", row=row, time=time, usual=usual)


class SlowRows:
    """The slow rows of a planting, by what is usual for its crop when this is made."""

    def __init__(self, context: AppContext, state: RowState, facts: FarmFacts) -> None:
        self._context = context
        self._times = facts.setting("times_as_slow")
        with context.notebook.reading() as session:
            self._earlier = usual(session, facts.id, state.crop, state.spacing_mm or 0.0)
        self.show(state)

    def show(self, state: RowState) -> None:
        """Check these rows of the planting from now on."""
        self._state, self._usual = state, self._earlier.renewed(state.passes)

    @property
    def ended(self) -> list[SlowRow]:
        """Rows that ended too late, last first; without those that people said are right."""
        kept = self._context.notebook.setting(KEPT) or []
        found = (self.check(row) for row in reversed(self._state.passes) if row.ended and row.id not in kept)
        return [row for row in found if row is not None]

    @property
    def open(self) -> SlowRow | None:
        """The open row, where it runs on far beyond the usual."""
        return None if self._state.open is None else self.check(self._state.open)

    def check(self, row: RowPass) -> SlowRow | None:
        """The row, if it is slow."""
        took_s = max(0.0, elapsed_s(row.started, row.ended or self._context.notebook.now()))
        planted_s, usual_s = row_time_s(row, took_s), self._usual.time_s(row)
        if usual_s is None or not self._usual.tap_missed(row, planted_s, self._times):
            return None
        return SlowRow(row, took_s, planted_s, round(usual_s))  # nobody knows it better than to the second


def keep(context: AppContext, row: str) -> None:
    """A row was as slow as it looks; this phone does not ask again."""
    kept = [each for each in context.notebook.setting(KEPT) or [] if each != row]
    context.notebook.change_settings(**{KEPT: [*kept, row][-MOST_KEPT:]})


def approximately(localizer: Localizer, seconds: float) -> str:
    """A usual time: in whole minutes, where it is as long as that."""
    if seconds < S_PER_MINUTE:
        return localizer.tn("about {n} second", "about {n} seconds", round(seconds))
    return localizer.tn("about {n} minute", "about {n} minutes", round(seconds / S_PER_MINUTE))
