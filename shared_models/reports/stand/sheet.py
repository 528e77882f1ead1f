"""Everything on the stand of some plantings: how full, how evenly, and which rows have too many misses."""

from __future__ import annotations

from dataclasses import dataclass

from sqlmodel import Session

from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.common.filters import Filters
from shared_models.reports.common.references import References
from shared_models.reports.rows.rows import load_rows
from shared_models.reports.stand.stands import StandsReport, counted_then, stands_of
from shared_models.reports.stand.tape import OddRow, PlantingEvenness, rows_with_many_misses, tape_samples


@dataclass(frozen=True, slots=True)
class StandSheet:
    """The stands, the tape samples of the same plantings, and the odd rows among those of the days asked about."""

    stands: StandsReport
    evenness: tuple[PlantingEvenness, ...]
    odd_rows: tuple[OddRow, ...]


def stand_sheet(session: Session, farm: FarmFacts, filters: Filters, names: References) -> StandSheet:
    """The stand of the plantings with a row or a count on the days asked about."""
    rows = load_rows(session, farm, filters, names)
    chosen = {row.place.planting_id for row in rows} | counted_then(session, farm, filters, names)
    stands = stands_of(session, farm, chosen, names, rows)
    order = [stand.planting_id for stand in stands.plantings]
    return StandSheet(stands, tuple(tape_samples(session, farm, order, names)), tuple(rows_with_many_misses(rows)))
