"""The plan as plain text, in English and the farm's units."""

from collections.abc import Iterable
from textwrap import fill

from server.render.localizer import Localizer
from server.render.plan_tables import (
    ahead_table,
    assumptions,
    conflict_text,
    order_text,
    plantings_table,
    seeds_table,
    waiting_table,
    weeks_table,
)
from server.render.tables import Table
from server.render.text import WIDTH
from server.render.text_table import format_table, plain
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.plan.sheet import PlanSheet


def plan_text(sheet: PlanSheet, farm: FarmFacts) -> str:
    """The plantings to come, the weeks, the order, what comes next, and what cannot be done."""
    if not (sheet.plantings or sheet.waiting):
        return "No planting is planned for this."
    return "\n\n".join(_parts(sheet, Localizer.of(farm)))


def _parts(sheet: PlanSheet, localizer: Localizer) -> Iterable[str]:
    if sheet.conflicts:
        sentences = (plain(conflict_text(each, localizer)) for each in sheet.conflicts)
        yield "\n".join((f"{localizer.t('Problems with this plan')}:", *(f"  {sentence}" for sentence in sentences)))
    if sheet.plantings:
        yield format_table(plantings_table(sheet.plantings, localizer))
        yield _titled("Week by week", weeks_table(sheet, localizer))
        yield "\n".join(
            [
                order_text(sheet, localizer),
                *([format_table(seeds_table(sheet, localizer))] if sheet.to_sow.seeds else []),
            ]
        )
    if sheet.waiting:
        yield _titled("Trays without a planting", waiting_table(sheet.waiting, localizer))
    if sheet.successions:
        yield _titled("What comes next", ahead_table(sheet.successions, localizer))
    yield "\n".join(fill(plain(sentence), WIDTH) for sentence in assumptions(sheet, localizer))


def _titled(title: str, table: Table) -> str:
    return f"{title}:\n{format_table(table)}"
