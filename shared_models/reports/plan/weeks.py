"""The plan week by week: trays on the bench, trays to sow, plants to set and the hours of it."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from shared_models.reports.plan.schedule import PlannedPlanting
from shared_models.reports.plan.settings import PlanFigures, RateUsed
from shared_models.trade.planning.sowing_plan import (
    DAYS_PER_WEEK,
    BenchWeek,
    Week,
    WeekHours,
    bench_by_week,
    hours_by_week,
)
from shared_models.trade.planning.sowing_plan import Sowing as WorkedBack


@dataclass(frozen=True, slots=True)
class PlanWeek:
    """One week of the plan. Hours of one person; None where the figures they need are not entered.

    `trays` stand on the bench on the fullest day; `trays_to_sow` are those not sown yet.
    """

    monday: date
    trays: int
    trays_to_sow: int
    plantings: int
    plants: int
    sowing_h: float | None
    tending_h: float | None
    planting_h: float | None

    @property
    def hours(self) -> float | None:
        """The sum of the hours that are known."""
        known = [each for each in (self.sowing_h, self.tending_h, self.planting_h) if each is not None]
        return sum(known) if known else None


def bench(
    lines: Iterable[PlannedPlanting], rest: Iterable[WorkedBack], figures: PlanFigures, today: date
) -> list[BenchWeek]:
    """Trays on the bench from this week on: of the plantings to come, and the `rest` without a planting."""
    bench_use_of = [line.takes for line in lines if line.takes and line.sow_on]
    weeks = bench_by_week([*bench_use_of, *rest], figures.rates(None))
    return [week for week in weeks if week.week >= Week.of(today)]


def hours(
    lines: Iterable[PlannedPlanting], rest: Iterable[WorkedBack], figures: PlanFigures, today: date
) -> list[WeekHours]:
    """Hours of one person from this week on. Where no day of sowing is known, its hours are left out."""
    alike: defaultdict[tuple[RateUsed | None, bool], list[WorkedBack]] = defaultdict(list)
    for line in lines:
        if line.takes:
            alike[line.rate, line.sow_on is not None].append(line.takes)
    together: dict[Week, WeekHours] = {}
    by_rate = [hours_by_week(takes, figures.rates(rate, sowing=sowing)) for (rate, sowing), takes in alike.items()]
    by_rate.append(hours_by_week(list(rest), figures.rates(None, sowing=False)))
    for week in (week for part in by_rate for week in part if week.week >= Week.of(today)):
        so_far = together.get(week.week, WeekHours(week.week))
        together[week.week] = WeekHours(
            week.week,
            so_far.sowing_h + week.sowing_h,
            so_far.tending_h + week.tending_h,
            so_far.planting_h + week.planting_h,
        )
    return [together[week] for week in sorted(together)]


def weeks_of(
    lines: Sequence[PlannedPlanting],
    on_bench: Iterable[BenchWeek],
    worked: Iterable[WeekHours],
    figures: PlanFigures,
    today: date,
) -> tuple[PlanWeek, ...]:
    """Every week from this one to the last with something in it."""
    trays = {week.week: week.trays for week in on_bench if week.trays}
    by_week = {week.week: week for week in worked if week.total_h}
    set_in: defaultdict[Week, list[WorkedBack]] = defaultdict(list)
    sown_in: defaultdict[Week, int] = defaultdict(int)
    for line in lines:
        if line.takes:
            set_in[Week.of(line.plant_on)].append(line.takes)
            if line.sow_on and not line.sown:
                sown_in[Week.of(line.sow_on)] += line.takes.trays
    rates_known = all(line.rate for line in lines if line.takes)
    last = max([*trays, *by_week, *set_in, *sown_in], default=None)
    found, monday = [], Week.of(today).monday
    while last and Week.of(monday) <= last:
        week = Week.of(monday)
        done = by_week.get(week, WeekHours(week))
        takes = set_in[week]
        found.append(
            PlanWeek(
                monday=monday,
                trays=trays.get(week, 0),
                trays_to_sow=sown_in[week],
                plantings=len(takes),
                plants=sum(each.plants for each in takes),
                sowing_h=done.sowing_h if figures.trays_sown_per_h else None,
                tending_h=done.tending_h if figures.tending_h_per_tray_week is not None else None,
                planting_h=done.planting_h if rates_known else None,
            )
        )
        monday += timedelta(days=DAYS_PER_WEEK)
    return tuple(found)
