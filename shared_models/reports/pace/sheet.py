"""The pace of some days: rates by what is asked, two lines of them compared, and the farm's plug-tray baseline."""

from dataclasses import dataclass
from datetime import date

from shared_models.records.tables import Farm
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.filters import Filters
from shared_models.reports.pace.compare import Comparison, compare
from shared_models.reports.pace.rates import By, RateLine, RatesReport, rates_of
from shared_models.reports.rows.rows import day_of, load_rows


@dataclass(frozen=True, slots=True)
class PaceSheet:
    """The rates asked for, the days they come from, and two lines compared (None where there are no two).

    `plug_tray` is how many plants one person sets in an hour from plug trays by hand, as the farm tells it.
    """

    report: RatesReport
    first: date | None
    last: date | None
    compared_keys: tuple[str, str]
    comparison: Comparison | None
    plug_tray: float | None


def pace_sheet(
    context: ReportContext,
    by: By,
    filters: Filters,
    keys: tuple[str | None, str | None] = (None, None),
) -> PaceSheet:
    """The pace on the requested days. Where it is not said which two lines to compare, the two with most work are."""
    farm, rows = context.farm, load_rows(context, filters)
    report = rates_of(rows, by, farm)
    days = sorted(day_of(row, farm) for row in report.rows)
    chosen = _two(report, keys)
    return PaceSheet(
        report=report,
        first=days[0] if days else None,
        last=days[-1] if days else None,
        compared_keys=chosen,
        comparison=compare(rows, by, chosen, farm) if chosen[0] != chosen[1] else None,
        plug_tray=_plug_tray(context),
    )


def _two(report: RatesReport, keys: tuple[str | None, str | None]) -> tuple[str, str]:
    known = [line.key for line in sorted(report.lines, key=_most_work)]
    first = keys[0] if keys[0] in known else None
    second = keys[1] if keys[1] in known else None
    first = first if first is not None else next((key for key in known if key != second), "")
    second = second if second is not None else next((key for key in known if key != first), first)
    return first, second


def _most_work(line: RateLine) -> float:
    return -line.work.length_mm


def _plug_tray(context: ReportContext) -> float | None:
    record = context.session.get(Farm, (context.farm.id, context.farm.id))
    return (record.plug_tray_plants_per_person_hour or None) if record else None
