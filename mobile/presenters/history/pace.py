"""A day's pace by hour, crew, bed, person or crop, against the usual; and what slowed it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, time

from mobile.presenters.base.bars import Bar, on_one_scale
from mobile.presenters.base.labels import UNKNOWN
from mobile.presenters.base.options import Option
from mobile.presenters.base.presenter import AppContext, Presenter
from shared_models.i18n.labels import STOPS
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.filters import Filters
from shared_models.reports.pace.against_usual import AgainstUsual, Measure, UsualRate, against_usual, rows_before
from shared_models.reports.pace.rates import By, RateLine
from shared_models.reports.rows.rows import LoggedRow, day_of, load_rows
from shared_models.reports.sheets.day import PlantingDays, planting_days

BYS: Mapping[By, str] = {
    By.HOUR: "By hour",
    By.CREW: "By crew",
    By.PERSON: "By person",
    By.BED: "By bed",
    By.CROP: "By crop",
    By.DAY: "By day",
}
#: labels in feet and in metres
MEASURES: Mapping[Measure, tuple[str, str]] = {
    Measure.ROW: ("Row feet an hour", "Row meters an hour"),
    Measure.PLANTS: ("Plants an hour", "Plants an hour"),
    Measure.ROW_PERSON: ("Row feet an hour, each person", "Row meters an hour, each person"),
    Measure.PLANTS_PERSON: ("Plants an hour, each person", "Plants an hour, each person"),
}
EACH_PERSON = frozenset({Measure.ROW_PERSON, Measure.PLANTS_PERSON})
#: planting days shown side by side, and offered
DAYS_SHOWN, DAYS_OFFERED = 10, 30
#: longer crews are shortened to first names
LABEL_LETTERS = 48


@dataclass(frozen=True, slots=True)
class PaceView:
    """The day's pace; or, while something is chosen, the `options`."""

    title: str
    options: tuple[Option, ...]
    rate: str
    against: str
    bars: tuple[Bar, ...]
    legend: str
    slowed: str
    slow_bars: tuple[Bar, ...]
    notes: tuple[str, ...]
    back: str
    by: str
    measure: str
    day: str


class PacePresenter(Presenter):
    """One day's pace."""

    def __init__(self, context: AppContext) -> None:
        super().__init__(context)
        self._by, self._measure = By.HOUR, Measure.ROW
        self._asked: date | None = None
        self._choosing = ""
        self._before: tuple[date | None, list[LoggedRow]] = (None, [])
        self.read()

    def read(self) -> None:
        """Read the day's rows; the earlier ones only when the day changes."""
        self._facts, self._today = self.context.facts(), self.context.today()
        with self.context.notebook.reading() as session:
            reports = ReportContext.of(session, self._facts)
            self._days: PlantingDays = planting_days(reports)
            self._day = self._asked or self._days.latest(self._today) or self._today
            self._rows = load_rows(reports, Filters(day=self._day))
            if self._before[0] != self._day:
                self._before = (self._day, rows_before(reports, self._day))
        before, by, measure = self._before[1], self._by, self._measure
        self._whole: AgainstUsual = against_usual(self._rows, before, By.BED, self._facts, measure)
        rows = self._last_days() if by is By.DAY else self._rows
        self._parts: AgainstUsual = against_usual(rows, before, by, self._facts, measure)

    def _last_days(self) -> list[LoggedRow]:
        every = [*self._before[1], *self._rows]
        days = sorted({day_of(row, self._facts) for row in every})[-DAYS_SHOWN:]
        return [row for row in every if day_of(row, self._facts) in days]

    # what a tap means

    def choose(self, what: str) -> None:
        """Open the options for "by", "measure" or "day"; a second time, close them."""
        self._choosing = "" if self._choosing == what else what

    def pick(self, key: str) -> None:
        if self._choosing == "by":
            self._by = By(key)
        elif self._choosing == "measure":
            self._measure = Measure(key)
        else:
            self._asked = date.fromisoformat(key)
        self._choosing = ""

    def step_back(self) -> bool:
        chose, self._choosing = bool(self._choosing), ""
        return chose

    def back(self) -> None:
        if not self.step_back():
            self.context.navigator.back()

    # what is shown

    @property
    def view(self) -> PaceView:
        t, by, measure = self.t, self._by, self._measure
        total, day = self._whole.report.total, self.localizer.day_by_itself(self._day, self._today)
        worked = bool(total.work.rows)
        against = self._against(self._whole.total, self._whole.share(total))
        bars = on_one_scale(self._bars()) if worked else ()
        slow = on_one_scale(self._slow_bars())
        return PaceView(
            title=t("Pace · {day}", day=day),
            options=self._options(),
            rate=self._rate(measure, measure.rate(total)) if worked else t("No rows finished this day."),
            against=(against or t("No earlier beds to compare.")) if worked else "",
            bars=bars,
            legend=self._legend() if any(bar.mark is not None for bar in bars) else "",
            slowed=t("What slowed you") if slow else "",
            slow_bars=slow,
            notes=tuple(self._notes(total)) if worked else (),
            back=t("Back"),
            by=t(BYS[by]),
            measure=self._measure_text(measure),
            day=day,
        )

    def _notes(self, total: RateLine) -> Iterable[str]:
        localizer, t, work = self.localizer, self.t, total.work
        others = (each for each in Measure if each is not self._measure)
        yield " · ".join(self._rate(each, each.rate(total)) for each in others)
        ran = work.field_efficiency or 0.0
        length, time_taken = localizer.length(work.length_mm), localizer.duration(work.field_time_s)
        yield t(
            "{length} in {time}; chain moving {share} of the time.",
            length=length,
            time=time_taken,
            share=localizer.percent(ran),
        )
        if left_out := len(self._whole.report.not_counted):
            yield localizer.tn("{n} row is open or has odd times.", "{n} rows are open or have odd times.", left_out)

    def _against(self, usual: UsualRate | None, share: float | None) -> str:
        if usual is None or share is None:
            return ""
        days = self.localizer.tn("{n} day", "{n} days", usual.times)
        rate = self._rate(self._measure, usual.rate)
        return self.localizer.t(
            "{share} of usual {rate}, {days}", share=self.localizer.percent(share), rate=rate, days=days
        )

    def _rate(self, measure: Measure, rate: float | None) -> str:
        localizer, t = self.localizer, self.localizer.t
        text = t("{n} plants/h", n=localizer.fixed(rate)) if measure.of_plants else localizer.rate(rate)
        return t("{rate} each", rate=text) if measure in EACH_PERSON else text

    def _measure_text(self, measure: Measure) -> str:
        feet, metres = MEASURES[measure]
        return self.t(feet if self.localizer.feet else metres)

    def _legend(self) -> str:
        return self.t("The line is your usual: the median of earlier days, same crop and spacing.")

    def _bars(self) -> Iterable[Bar]:
        parts, measure = self._parts, self._measure
        lines = reversed(parts.report.lines) if self._by is By.DAY else parts.report.lines
        for line in lines:
            rate, usual = measure.rate(line), parts.usual.get(line.key)
            length = self.localizer.length(line.work.length_mm)
            against = self._against(usual, parts.share(line))
            yield Bar(
                text=f"{self._label(line)} · {self._rate(measure, rate)}",
                detail=f"{length} · {against}" if against else length,
                size=rate or 0.0,
                mark=usual.rate if usual else None,
            )

    def _label(self, line: RateLine) -> str:
        localizer, by = self.localizer, self._by
        if by is By.DAY:
            return localizer.day_by_itself(date.fromisoformat(line.key), self._today)
        if by is By.HOUR:
            clock, _, again = line.key.partition(" ")
            hour = localizer.clock(time.fromisoformat(clock))
            return localizer.t("{time}, a second time", time=hour) if again else hour
        names = [localizer.t(name) if name in UNKNOWN else name for name in line.label.split(" + ")]
        whole = " + ".join(names)
        return whole if len(whole) <= LABEL_LETTERS else localizer.crew(names, LABEL_LETTERS)

    def _slow_bars(self) -> Iterable[Bar]:
        """Turning and stops by reason, the longest first."""
        localizer, t = self.localizer, self.localizer.t
        lost = [(t(STOPS[reason]), stop.seconds, stop.count) for reason, stop in self._whole.report.stops]
        lost.append((t("turning between rows"), self._whole.report.total.work.turn_time_s, 0))
        for name, seconds, times in sorted(lost, key=lambda each: -each[1]):
            if seconds:
                often = " · " + localizer.tn("{n} time", "{n} times", times) if times else ""
                yield Bar(f"{name} · {localizer.duration(seconds)}{often}", "", seconds)

    def _options(self) -> tuple[Option, ...]:
        t, by, measure = self.t, self._by, self._measure
        if self._choosing == "by":
            return tuple(Option(key, t(text), chosen=key is by) for key, text in BYS.items())
        if self._choosing == "measure":
            return tuple(Option(key, self._measure_text(key), chosen=key is measure) for key in MEASURES)
        if self._choosing == "day":
            days = sorted({*self._days.open_rows, self._today, self._day}, reverse=True)[:DAYS_OFFERED]
            called = self.localizer.day_by_itself
            return tuple(Option(day.isoformat(), called(day, self._today), chosen=day == self._day) for day in days)
        return ()
