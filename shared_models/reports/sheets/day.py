"""A day's sheet: everything the day was worth, from one reading of the tables."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from shared_models.reports.audit.attention import Issue, flagged, row_issues
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.common.filters import Filters
from shared_models.reports.pace.rates import By, RatesReport, rates_of
from shared_models.reports.rows.rows import LoggedRow, load_rows
from shared_models.reports.rows.timelines import is_plausible, row_moments, timeline_of
from shared_models.reports.sheets.heat import DayHeat, day_heat
from shared_models.reports.soil.beds import SoilReport, soil
from shared_models.reports.stand.stands import StandsReport, plantings_counted, stands_of


@dataclass(frozen=True, slots=True)
class PlantingDays:
    """The days on which rows were started, earliest first, each with its number of open rows."""

    open_rows: Mapping[date, int]

    def latest(self, today: date) -> date | None:
        """The last planting day through today; if all are in the future (a wrong clock), the last of them."""
        past = [day for day in self.open_rows if day <= today]
        return max(past or self.open_rows, default=None)

    def before(self, day: date) -> date | None:
        return max((each for each in self.open_rows if each < day), default=None)

    def after(self, day: date) -> date | None:
        return min((each for each in self.open_rows if each > day), default=None)

    def with_open_rows(self) -> list[date]:
        return [day for day, count in self.open_rows.items() if count]


@dataclass(frozen=True, slots=True)
class DaySheet:
    """One day of the farm. `issues` are the entries of the day, and the flagged ones of any day, to check."""

    farm: FarmFacts
    day: date
    rows: tuple[LoggedRow, ...]
    rates: Mapping[By, RatesReport]
    stands: StandsReport
    soil: SoilReport
    heat: DayHeat | None
    issues: tuple[Issue, ...]


def planting_days(context: ReportContext) -> PlantingDays:
    """Every day with planting, by the corrected clock."""
    farm, rows = context.farm, row_moments(context.session, context.farm.id)
    timeline = timeline_of(rows)
    counts: dict[date, int] = {}
    for row in rows:
        day = farm.day(timeline.at(row.started)) if is_plausible(row.started) else row.started.at.date()
        counts[day] = counts.get(day, 0) + (row.ended is None)
    return PlantingDays(dict(sorted(counts.items())))


def day_sheet(
    context: ReportContext,
    day: date,
    now: datetime,
    by: Iterable[By] = (By.ROW, By.BED, By.CREW, By.PERSON, By.HOUR),
) -> DaySheet:
    """Everything about one day: rows, rates, stands planted or counted, all soil history, issues."""
    farm, filters = context.farm, Filters(day=day)
    rows = load_rows(context, filters)
    stood = {row.place.planting_id for row in rows} | plantings_counted(context, filters)
    return DaySheet(
        farm=farm,
        day=day,
        rows=tuple(rows),
        rates={each: rates_of(rows, each, farm) for each in by},
        stands=stands_of(context, stood, rows),
        soil=soil(context, now),
        heat=day_heat(context, day),
        issues=(*row_issues(rows, farm, now), *flagged(context.session, farm.id)),
    )
