"""A row that took far too long: what it really was. Each answer shows the times it makes before it is chosen."""

from collections.abc import Iterator, Sequence

from mobile.log.late_end import FixKind, LateEnd, LateEndFix
from mobile.presenters.base.form import Form, Question
from mobile.presenters.base.labels import SLOW_ROW_FIXES
from mobile.presenters.base.options import Option
from mobile.presenters.base.presenter import AppContext
from mobile.presenters.row.slow_rows import SlowRow, SlowRows, keep
from shared_models.errors import UnknownRecord
from shared_models.records.tables import RowPass

KEEP = "keep"


class SlowRowForm(Form):
    """What was it? Nothing is asked of a row that ended while nothing is usual yet."""

    title = "Forgotten tap"
    reviewed = False

    def __init__(self, context: AppContext, row_pass: str) -> None:
        self._row_pass = row_pass
        super().__init__(context)

    def read(self) -> None:
        notebook = self.context.notebook
        with notebook.reading() as session:
            row = session.get(RowPass, (notebook.farm, self._row_pass))
        if row is None:
            raise UnknownRecord("row_pass", self._row_pass)
        state = notebook.row_state(row.planting)
        slow = SlowRows(self.context, state, self.context.facts()).check(row)
        self._row, self._next_row, self._slow = row, state.next_row, slow
        self._offers = {each.kind: each for each in self._fixes(self._slow)}

    def _fixes(self, slow: SlowRow | None) -> Iterator[LateEndFix]:
        if slow is None:
            return
        until = self._row.ended or self.context.notebook.now()
        late = LateEnd(self._row, until, slow.usual_s, self.t("times estimated"))
        yield late.trim()
        if self._row.ended is None:
            return
        yield late.rest()
        if self._next_row is not None:
            yield late.split(self.context.notebook.new_id(), self._next_row)

    def questions(self) -> Sequence[Question]:
        t, localizer = self.t, self.localizer
        ask = self._slow.text(localizer) if self._slow else t("Row {row} is fine.", row=self._row.row)
        return [Question("what", t("Forgotten tap"), ask, (*map(self._offered, self._offers.values()), self._kept()))]

    def save(self) -> None:
        chosen = self._answers["what"]
        if chosen != KEEP:
            fix = self._offers[FixKind(chosen)]
            self.context.notebook.write_together(SLOW_ROW_FIXES[fix.kind], fix.changes)
        elif self._row.ended is not None:
            keep(self.context, self._row.id)
        self.context.navigator.back()

    # what is shown

    def _offered(self, fix: LateEndFix) -> Option:
        t, clock, row = self.t, self.localizer.clock, self._row.row
        end = clock(fix.ended.at)
        match fix.kind:
            case FixKind.TRIM:
                text, detail = t("It ended as usual"), t("end about {end}, estimated", end=end)
            case FixKind.REST:
                text = t("There was a break")
                took = self.localizer.duration
                detail = t(
                    "{rest} break, {time} planting, end {end}",
                    rest=took(fix.rest_s),
                    time=took(self._slow.planted_s - fix.rest_s if self._slow else 0),
                    end=end,
                )
            case FixKind.SPLIT:
                text = t("It was two rows")
                began = clock(fix.second_began.at) if fix.second_began else ""
                detail = t(
                    "row {row} until about {end}, row {next} from about {start}, estimated",
                    row=row,
                    end=end,
                    next=self._next_row,
                    start=began,
                )
        return Option(fix.kind.value, text, detail)

    def _kept(self) -> Option:
        if self._row.ended is None:
            return Option(KEEP, self.t("Still going"), self.t("nothing changes"))
        return Option(KEEP, self.t("It really took that long"), self.t("no change; we won't ask again"))
