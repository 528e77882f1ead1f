"""How was each bed over time: soil checks, rain, when it was planted; and when is a wet one fit again?"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from shared_models.records.tables import Farm
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.filters import Filters
from shared_models.reports.rows.rows import day_of, load_rows
from shared_models.reports.soil.beds import BedSoil, soil
from shared_models.reports.soil.dry_down import DAYS_BEFORE, OLDEST_CHECK, Outlook, outlook, position_of, weather_of


@dataclass(frozen=True, slots=True)
class SoilHistory:
    """The beds with their checks, latest first; planting days by bed; rain and irrigation by day; outlooks by bed."""

    beds: tuple[BedSoil, ...]
    planted: Mapping[str, tuple[date, ...]]
    water_mm: Mapping[date, float]
    outlooks: Mapping[str, Outlook]
    first: date
    last: date


def soil_history(context: ReportContext, now: datetime, filters: Filters) -> SoilHistory:
    """The soil of the beds selected over the days selected; the state now is that of the latest check."""
    session, farm, names = context.session, context.farm, context.references
    beds = soil(context, now, filters).beds
    planted: dict[str, set[date]] = defaultdict(set)
    for row in load_rows(context, filters):
        planted[row.place.bed_id or ""].add(day_of(row, farm))
    today = farm.day(now)
    checked = [farm.day(bed.latest.at) for bed in beds if bed.latest]
    oldest = max(min(checked, default=today), today - OLDEST_CHECK)
    weather = weather_of(session, farm.id, oldest - timedelta(days=DAYS_BEFORE))
    weather |= weather_of(session, farm.id, filters.first, filters.last)
    record = session.get(Farm, (farm.id, farm.id))
    ahead = {
        bed.bed_id: outlook(farm, bed, position_of(record, names.beds.get(bed.bed_id)), weather, today) for bed in beds
    }
    water = {on: (day.rain_mm or 0.0) + (day.irrigation_mm or 0.0) for on, day in weather.items() if filters.covers(on)}
    shown = [farm.day(check.at) for bed in beds for check in bed.checks]
    shown += [day for days in planted.values() for day in days] + [on for on, mm in water.items() if mm]
    return SoilHistory(
        beds=beds,
        planted={bed: tuple(sorted(days)) for bed, days in planted.items()},
        water_mm=dict(sorted(water.items())),
        outlooks={bed: each for bed, each in ahead.items() if each},
        first=min(shown, default=today),
        last=max([*shown, today]) if filters.covers(today) else max(shown, default=today),
    )
