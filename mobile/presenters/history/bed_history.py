"""One bed's history: soil checks, plantings, their pace and stand."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from mobile.presenters.base.options import Notice, Option
from mobile.presenters.base.presenter import AppContext, Presenter
from mobile.presenters.base.routes import Route
from mobile.presenters.checks.soil import SIGNS
from mobile.presenters.history.beds import NOT_CHECKED
from shared_models.core.vocabulary import Readiness
from shared_models.i18n.labels import FEELS, READINESS
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.filters import Filters
from shared_models.reports.pace.rates import By, RateLine, rates_of
from shared_models.reports.rows.rows import LoggedRow, load_planting_rows
from shared_models.reports.soil.beds import BedSoil, SoilReading, soil
from shared_models.reports.stand.stands import PlantingStand, stands_of
from shared_models.trade.soil.feel import available_water

#: span of the chart at most, back from now
CHARTED = timedelta(days=120)
#: and at least, so that the checks of one morning do not fill the whole width
CHARTED_AT_LEAST = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Spot:
    """A soil check in the chart: time (0 to 1), moisture (0 to 1) and verdict."""

    along: float
    wet: float
    readiness: Readiness


@dataclass(frozen=True, slots=True)
class Drawing:
    """The bed's moisture over time; `planted` are the days of planting, 0 to 1."""

    spots: tuple[Spot, ...]
    planted: tuple[float, ...]
    wettest: str
    driest: str
    begin: str
    end: str
    legend: str


@dataclass(frozen=True, slots=True)
class SoilCheckText:
    """A soil check in words: verdict and time, then feel and reason."""

    sign: str
    text: str
    detail: str


@dataclass(frozen=True, slots=True)
class BedHistoryView:
    """A bed's history, the newest first."""

    bed: str
    now: Notice
    drawing: Drawing | None
    planted: str
    plantings: tuple[Option, ...]
    checks_title: str
    checks: tuple[SoilCheckText, ...]
    back: str
    check: str


class BedHistoryPresenter(Presenter):
    """One bed."""

    def __init__(self, context: AppContext, bed: str) -> None:
        super().__init__(context)
        self._bed = bed
        self.read()

    def read(self) -> None:
        facts, notebook = self.context.facts(), self.context.notebook
        self._now = notebook.now().at
        with notebook.reading() as session:
            reports = ReportContext.of(session, facts)
            names = reports.references
            (self._soil,) = soil(reports, self._now, Filters(bed=self._bed)).beds
            plantings = {each.id for each in names.plantings.values() if each.bed == self._bed and not each.voided}
            self._rows: list[LoggedRow] = load_planting_rows(reports, plantings)
            self._stands = stands_of(reports, plantings).plantings
            self._plans = {planting: names.plantings[planting].planned_on for planting in plantings}
        self._rates = {line.key: line for line in rates_of(self._rows, By.PLANTING, facts).lines}

    # what a tap means

    def planting(self, planting: str) -> None:
        self.context.navigator.go(Route.SUMMARY, planting=planting, with_back=True)

    def check(self) -> None:
        self.context.navigator.go(Route.SOIL, bed=self._bed)

    # what is shown

    @property
    def view(self) -> BedHistoryView:
        plantings = tuple(self._planting(each) for each in self._newest_first(self._stands))
        checks = tuple(self._check(each) for each in self._soil.checks)
        return BedHistoryView(
            bed=self._soil.bed,
            now=self._state(self._soil),
            drawing=self._drawing(),
            planted=self.t("Plantings") if plantings else self.t("Nothing planted here yet."),
            plantings=plantings,
            checks_title=self.t("Soil checks") if checks else "",
            checks=checks,
            back=self.t("Back"),
            check=self.t("Soil check"),
        )

    def _state(self, soil: BedSoil) -> Notice:
        if soil.now is None:
            return Notice(NOT_CHECKED, self.t("Not checked yet"), "caution")
        verdict = self.t(READINESS[soil.now.readiness])
        if soil.stale:
            return Notice(NOT_CHECKED, self.t("The last check is old: check again."), "caution")
        if soil.now.limiting is None:
            return Notice(SIGNS[soil.now.readiness], verdict, "plain")
        reason, change = self.t(soil.now.limiting.reason), self.t(soil.now.limiting.change)
        return Notice(SIGNS[soil.now.readiness], f"{verdict}. {reason} {change}", "caution")

    # plantings

    def _newest_first(self, stands: Iterable[PlantingStand]) -> list[PlantingStand]:
        """By the day of planting; planned ones come first."""
        planned = [each for each in stands if each.planted_from is None]
        return [*planned, *sorted((each for each in stands if each.planted_from), key=_planted, reverse=True)]

    def _planting(self, stand: PlantingStand) -> Option:
        localizer, rate = self.localizer, self._rates.get(stand.planting_id)
        if stand.planted_from is None or rate is None:
            return Option(stand.planting_id, stand.crop, self._plan(stand.planting_id), "○")
        detail = " · ".join((self._work(rate), *self._stood(stand)))
        return Option(stand.planting_id, f"{stand.crop} · {localizer.month_day(stand.planted_from)}", detail, "✓")

    def _plan(self, planting: str) -> str:
        day = self._plans[planting]
        if day is None:
            return self.t("not started")
        return self.t("planned {day}", day=self.localizer.day(day, self.context.today()))

    def _work(self, rate: RateLine) -> str:
        return f"{self.localizer.length(rate.work.length_mm)} · {self.localizer.rate(rate.work.effective_mm_per_h)}"

    def _stood(self, stand: PlantingStand) -> Iterable[str]:
        localizer, counted = self.localizer, stand.counted
        if stand.planted is not None:
            yield localizer.t("{share} planted", share=localizer.percent(stand.planted))
        if counted is not None:
            share, day = localizer.percent(counted.stand.proportion), localizer.month_day(counted.on)
            yield localizer.t("{share} counted {day}", share=share, day=day)

    # soil

    def _check(self, reading: SoilReading) -> SoilCheckText:
        localizer, t = self.localizer, self.localizer.t
        readiness, limiting = reading.verdict.readiness, reading.verdict.limiting
        parts = [self._felt(reading), t(limiting.reason) if limiting else "", reading.note]
        text = f"{t(READINESS[readiness])} · {localizer.moment(reading.at, self._now)}"
        return SoilCheckText(SIGNS[readiness], text, " · ".join(each for each in parts if each))

    def _felt(self, reading: SoilReading) -> str:
        localizer, feel = self.localizer, reading.observed.feel
        if feel is None:
            return localizer.t("no feel test")
        low, high = available_water(feel)
        water = localizer.percent(high) if low == high else f"{localizer.number(100 * low)}–{localizer.percent(high)}"
        return localizer.t("{feel}: {percent} of its water", feel=localizer.t(FEELS[feel]), percent=water)

    def _drawing(self) -> Drawing | None:
        localizer, t = self.localizer, self.localizer.t
        first = self._now - CHARTED
        felt = [each for each in self._soil.checks if each.observed.feel and first <= each.at <= self._now]
        days = [each.planted_from for each in self._stands if each.planted_from]
        noons = [datetime.combine(day, time(12), localizer.zone) for day in days]
        planted = [noon for noon in noons if first <= noon <= self._now]
        if not felt:
            return None
        begin = min(*(each.at for each in felt), *planted, self._now - CHARTED_AT_LEAST)
        whole = self._now - begin
        return Drawing(
            spots=tuple(Spot((each.at - begin) / whole, _wet(each), each.verdict.readiness) for each in reversed(felt)),
            planted=tuple((noon - begin) / whole for noon in planted),
            wettest=t("wet"),
            driest=t("dry"),
            begin=localizer.day_by_itself(localizer.local(begin).date(), self.context.today()),
            end=t("Today"),
            legend=t("Square: ready. Triangle: wait. X: not fit. Vertical line: planted."),
        )


def _wet(reading: SoilReading) -> float:
    return available_water(reading.observed.feel).middle if reading.observed.feel else 0.0


def _planted(stand: PlantingStand) -> tuple[str, str]:
    return str(stand.planted_from), stand.planting_id
