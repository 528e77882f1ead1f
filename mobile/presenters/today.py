"""Today: what is being planted, what comes next, what has to wait and why, what is done."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from mobile.i18n.localizer import Localizer
from mobile.log import rows
from mobile.presenters.base.options import Notice, Option, Section
from mobile.presenters.base.presenter import AppContext, Presenter
from mobile.presenters.base.routes import Route
from mobile.presenters.sync.status import sync_notice
from shared_models.records.tables import Bed, Planting, Sowing
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.filters import Filters
from shared_models.reports.common.references import UNKNOWN_CROP, References
from shared_models.reports.pace.rates import By, RateLine, rates_of
from shared_models.reports.rows.rows import load_rows
from shared_models.reports.soil.beds import BedSoil, soil
from shared_models.trade.soil.readiness import Verdict


@dataclass(frozen=True, slots=True)
class TodayView:
    """The day; `nothing` is what to do where there is no planting."""

    title: str
    sync_notice: Notice
    sections: tuple[Section, ...]
    nothing: str
    check: str
    new: str
    look: str
    sync: str


@dataclass(frozen=True, slots=True)
class _Work:
    """A planting that is to be done, or was done today."""

    planting: Planting
    bed: Bed
    sowing: Sowing | None
    begun: int
    open: int
    soil: BedSoil | None
    done: RateLine | None

    @property
    def finished(self) -> bool:
        return self.begun >= self.bed.rows and not self.open

    @property
    def waits_for(self) -> Verdict | None:
        """The verdict that keeps it waiting; a bed that is begun waits no more."""
        now = self.soil.now if self.soil else None
        return now if now is not None and now.limiting is not None and not self.begun else None


class TodayPresenter(Presenter):
    """The day's plantings."""

    sync_here = True

    def __init__(self, context: AppContext) -> None:
        super().__init__(context)
        self.read()

    def read(self) -> None:
        """Read the plantings planned for today, unfinished from before, or finished today."""
        notebook, today, facts = self.context.notebook, self.context.today(), self.context.facts()
        with notebook.reading() as session:
            reports, begun = ReportContext.of(session, facts), rows.begun_rows(session, facts.id)
            checked = {bed.bed_id: bed for bed in soil(reports, notebook.now().at).beds}
            day = load_rows(reports, Filters(day=today))
            done = {line.key: line for line in rates_of(day, By.PLANTING, facts).lines}
            works = [work for work in _works(reports.references, begun, checked, done) if _belongs(work, today)]
        self._works = sorted(works, key=lambda work: (_due(work, today), work.planting.id))
        self._today, self._sync_notice = today, sync_notice(self.context)

    def pick(self, planting: str) -> None:
        work = next(work for work in self._works if work.planting.id == planting)
        self.context.navigator.go(Route.SUMMARY if work.finished else Route.ROW, planting=planting)

    def visit(self, place: str) -> None:
        self.context.navigator.go(Route(place))

    @property
    def view(self) -> TodayView:
        open_works = [work for work in self._works if not work.finished]
        sections = (
            self._section(self.t("In progress"), "▶", [work for work in open_works if work.begun]),
            self._section(
                self.t("To plant"), "○", [work for work in open_works if not work.begun and not work.waits_for]
            ),
            self._section(self.t("Waiting"), "▲", [work for work in open_works if work.waits_for]),
            self._section(self.t("Done today"), "✓", [work for work in self._works if work.finished]),
        )
        return TodayView(
            title=self.t("Today, {day}", day=self.localizer.month_day(self._today)),
            sync_notice=self._sync_notice,
            sections=tuple(section for section in sections if section.options),
            nothing="" if self._works else self._nothing(),
            check=self.t("Check"),
            new=self.t("New"),
            look=self.t("History"),
            sync=self.t("Sync"),
        )

    def _nothing(self) -> str:
        t, paired = self.t, self.context.notebook.setting("server") is not None
        text = t("Nothing is planned. Add a planting under New.")
        return text if paired else f"{text} {t('Or pair this phone under Sync.')}"

    def _section(self, title: str, sign: str, works: Iterable[_Work]) -> Section:
        options = (Option(work.planting.id, _name(work, self.localizer), self._detail(work), sign) for work in works)
        return Section(title, tuple(options))

    def _detail(self, work: _Work) -> str:
        localizer, waits_for = self.localizer, work.waits_for
        if work.finished and work.done is not None:
            return f"{localizer.length(work.done.work.length_mm)} · {localizer.rate(work.done.work.effective_mm_per_h)}"
        if work.begun:
            n, of = work.begun, work.bed.rows
            return localizer.t("row {n} of {rows} is open" if work.open else "{n} of {rows} rows planted", n=n, rows=of)
        if waits_for is not None and waits_for.limiting is not None:
            return localizer.t(waits_for.limiting.reason)
        size = localizer.tn(
            "{n} row of {length}", "{n} rows of {length}", work.bed.rows, length=localizer.length(work.bed.length_mm)
        )
        return f"{size} · {self._soil(work.soil)}{self._late(work.planting)}"

    def _soil(self, soil: BedSoil | None) -> str:
        if soil is None or soil.now is None:
            return self.t("soil not checked")
        return self.t("soil check is old" if soil.stale else "soil ready")

    def _late(self, planting: Planting) -> str:
        if planting.planned_on is None or planting.planned_on >= self._today:
            return ""
        return " · " + self.t("planned {day}", day=self.localizer.day(planting.planned_on, self._today))


def _works(
    names: References, begun: Mapping[str, tuple[int, int]], soil: Mapping[str, BedSoil], done: Mapping[str, RateLine]
) -> Iterable[_Work]:
    for planting in names.plantings.values():
        bed, sowing = names.beds.get(planting.bed), names.sowings.get(planting.sowing)
        if bed is not None and not planting.voided and not bed.voided:
            count, still = begun.get(planting.id, (0, 0))
            yield _Work(planting, bed, sowing, count, still, soil.get(bed.id), done.get(planting.id))


def _name(work: _Work, localizer: Localizer) -> str:
    return f"{work.bed.name} · {work.sowing.crop if work.sowing else localizer.t(UNKNOWN_CROP)}"


def _belongs(work: _Work, today: date) -> bool:
    if work.finished:
        return work.done is not None
    return work.begun > 0 or work.planting.planned_on is None or work.planting.planned_on <= today


def _due(work: _Work, today: date) -> tuple[bool, date]:
    return not work.open, work.planting.planned_on or today
