"""Reports as plain text, in English and the farm's units."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from textwrap import fill

from server.render.localizer import Localizer
from server.render.tables import how_to_check, rates_table, rows_table, stands_table
from server.render.text_table import laid_out, plain
from shared_models.i18n.formats import minutes
from shared_models.i18n.labels import READINESS, inline
from shared_models.reports.audit.attention import Issue
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.pace.rates import By, RatesReport
from shared_models.reports.sheets.day import DaySheet
from shared_models.reports.sheets.heat import heat_lines
from shared_models.reports.soil.beds import BedSoil, SoilReport
from shared_models.reports.soil.wording import NOBODY_LOOKED, ago, limiting_factor, seen, state, why
from shared_models.reports.stand.stands import StandsReport

#: How many checks of a bed are listed.
HISTORY = 5
#: Sentences are broken to this many letters.
WIDTH = 120


def day_text(sheet: DaySheet) -> str:
    """The day's sheet: its rows, what they come to, stands, soil, and what needs a look."""
    parts = [f"{plain(sheet.farm.name) or 'The farm'}, {Localizer().day_in_full(sheet.day)}"]
    parts += [rates_text(report, sheet.farm) for report in sheet.rates.values()]
    parts += [stands_text(sheet.stands, sheet.farm), soil_text(sheet.soil, sheet.farm)]
    if sheet.heat:
        parts.append(fill(" ".join(("Heat.", *heat_lines(sheet.heat, Localizer.of(sheet.farm)))), WIDTH))
    if sheet.issues:
        parts.append(_looks(sheet.issues))
    return "\n\n".join(parts)


def rates_text(report: RatesReport, farm: FarmFacts) -> str:
    """Rates line by line; by row, with everything that is needed to work each figure out by hand."""
    if not report.rows and not report.not_counted:
        return "No row is logged for this."
    if report.by is By.ROW:
        parts = [laid_out(rows_table(report, Localizer.of(farm))), fill(how_to_check(farm, Localizer.of(farm)), WIDTH)]
        parts += [f"Not counted: {plain(row.label)}. {' '.join(row.issues)}" for row in report.not_counted]
    else:
        parts = [laid_out(rates_table(report, Localizer.of(farm)))]
    if report.by is By.ROW and report.stops:
        told = (
            f"{reason.replace('_', ' ')} {minutes(stop.seconds)} min ({stop.count})" for reason, stop in report.stops
        )
        parts.append(f"Stops: {', '.join(told)}.")
    return "\n".join(parts)


def stands_text(report: StandsReport, farm: FarmFacts) -> str:
    """The stand of each planting, the rows to fill, and what could not be used."""
    if not report.plantings:
        return "No stand is known for this."
    lines = [laid_out(stands_table(report, Localizer.of(farm)))]
    for stand in report.plantings:
        if stand.fill.to_fill:
            rows = ", ".join(f"row {line.row} ({line.to_fill})" for line in stand.fill.lines)
            lines.append(f"To fill in {plain(stand.label)}: {rows}; carry {stand.fill.spares} plants.")
        lines += [f"{plain(stand.label)}: {look}" for look in stand.issues]
    return "\n".join(lines)


def soil_text(report: SoilReport, farm: FarmFacts) -> str:
    """Each bed now, why, and its last checks."""
    if not report.beds:
        return "No bed is known yet."
    return "\n".join(line for bed in report.beds for line in _bed(bed, farm))


def _bed(bed: BedSoil, farm: FarmFacts) -> Iterable[str]:
    heading = f"{plain(bed.bed)}: {state(bed)}"
    if bed.now is None:
        yield f"{heading}. {NOBODY_LOOKED}"
        return
    yield f"{heading}, checked {ago(bed.checked_h_ago or 0.0)}. {why(bed.now)}"
    for check in bed.checks[:HISTORY]:
        verdict = inline(READINESS[check.verdict.readiness])
        factor = f" ({limiting_factor(check.verdict)})" if check.verdict.limiting else ""
        yield f"  {farm.local(check.at):%Y-%m-%d %H:%M}  {verdict}{factor}: {seen(check.look, Localizer.of(farm))}"
        yield from (f"    {look}" for look in check.issues)


def _looks(issues: Sequence[Issue]) -> str:
    lines = (f"  {plain(look.label)}: {plain(' '.join(look.reasons))}" for look in issues)
    return "\n".join(("Needs a look:", *lines))
