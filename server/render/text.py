"""Reports as plain text, in English and the farm's units."""

from collections.abc import Iterable
from textwrap import fill

from server.render.localizer import Localizer
from server.render.tables import how_to_check, rates_table, rows_table, stands_table
from server.render.text_table import format_table, plain
from shared_models.i18n.labels import READINESS, inline
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.pace.rates import By, RatesReport
from shared_models.reports.sheets.day import DaySheet
from shared_models.reports.sheets.heat import heat_lines
from shared_models.reports.soil.beds import BedSoil, SoilReport
from shared_models.reports.soil.wording import NOT_CHECKED, ago, limiting_factor, observation_text, state, why
from shared_models.reports.stand.stands import StandsReport

#: How many checks of a bed are listed.
HISTORY = 5
#: Sentences are broken to this many letters.
WIDTH = 120


def day_text(sheet: DaySheet) -> str:
    """The day's report: its rows, totals, stands, soil, and what needs attention."""
    localizer = Localizer.of(sheet.farm)
    parts = [f"{plain(sheet.farm.name) or 'The farm'}, {localizer.full_date(sheet.day)}"]
    parts += [rates_text(report, sheet.farm) for report in sheet.rates.values()]
    parts += [stands_text(sheet.stands, sheet.farm), soil_text(sheet.soil, sheet.farm)]
    if sheet.heat:
        parts.append(fill(" ".join(("Heat.", *heat_lines(sheet.heat, localizer))), WIDTH))
    if sheet.issues:
        lines = (f"  {plain(issue.label)}: {plain(' '.join(issue.reasons))}" for issue in sheet.issues)
        parts.append("\n".join(("Needs attention:", *lines)))
    return "\n\n".join(parts)


def rates_text(report: RatesReport, farm: FarmFacts) -> str:
    """Rates line by line; by row, with everything needed to work each figure out by hand."""
    localizer = Localizer.of(farm)
    if not report.rows and not report.not_counted:
        return "No rows logged for this."
    if report.by is not By.ROW:
        return format_table(rates_table(report, localizer))
    parts = [format_table(rows_table(report, localizer)), fill(how_to_check(farm, localizer), WIDTH)]
    parts += [f"Not counted: {plain(row.label)}. {' '.join(row.issues)}" for row in report.not_counted]
    if report.stops:
        stops = (
            f"{reason.replace('_', ' ')} {localizer.minutes(stop.seconds)} min ({stop.count})"
            for reason, stop in report.stops
        )
        parts.append(f"Stops: {', '.join(stops)}.")
    return "\n".join(parts)


def stands_text(report: StandsReport, farm: FarmFacts) -> str:
    """The stand of each planting, the rows to fill, and what could not be used."""
    if not report.plantings:
        return "No stand counts for this."
    lines = [format_table(stands_table(report, Localizer.of(farm)))]
    for stand in report.plantings:
        if stand.fill.to_fill:
            rows = ", ".join(f"row {line.row} ({line.to_fill})" for line in stand.fill.lines)
            lines.append(f"To fill in {plain(stand.label)}: {rows}; carry {stand.fill.spares} plants.")
        lines += [f"{plain(stand.label)}: {issue}" for issue in stand.issues]
    return "\n".join(lines)


def soil_text(report: SoilReport, farm: FarmFacts) -> str:
    """Each bed now, why, and its last checks."""
    if not report.beds:
        return "No beds yet."
    return "\n".join(line for bed in report.beds for line in _bed(bed, Localizer.of(farm)))


def _bed(bed: BedSoil, localizer: Localizer) -> Iterable[str]:
    heading = f"{plain(bed.bed)}: {state(bed)}"
    if bed.now is None:
        yield f"{heading}. {NOT_CHECKED}"
        return
    yield f"{heading}, checked {ago(bed.checked_h_ago or 0.0)}. {why(bed.now)}"
    for check in bed.checks[:HISTORY]:
        verdict = inline(READINESS[check.verdict.readiness])
        factor = f" ({limiting_factor(check.verdict)})" if check.verdict.limiting else ""
        yield f"  {localizer.date_time(check.at)}  {verdict}{factor}: {observation_text(check.observed, localizer)}"
        yield from (f"    {issue}" for issue in check.issues)
