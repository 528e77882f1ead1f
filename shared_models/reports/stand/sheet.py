"""Everything on the stand of some plantings: how full, how evenly, and which rows have too many misses."""

from dataclasses import dataclass

from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.filters import Filters
from shared_models.reports.rows.rows import load_rows
from shared_models.reports.stand.stands import StandsReport, plantings_counted, stands_of
from shared_models.reports.stand.tape import OddRow, PlantingEvenness, rows_with_many_misses, tape_samples


@dataclass(frozen=True, slots=True)
class StandSheet:
    """The stands, the tape samples of the same plantings, and the odd rows among those of the requested days."""

    stands: StandsReport
    evenness: tuple[PlantingEvenness, ...]
    odd_rows: tuple[OddRow, ...]


def stand_sheet(context: ReportContext, filters: Filters) -> StandSheet:
    """The stand of the plantings with a row or a count on the days selected."""
    rows = load_rows(context, filters)
    found = stands_of(context, {row.place.planting_id for row in rows} | plantings_counted(context, filters), rows)
    order = [stand.planting_id for stand in found.plantings]
    return StandSheet(found, tuple(tape_samples(context, order)), tuple(rows_with_many_misses(rows)))
