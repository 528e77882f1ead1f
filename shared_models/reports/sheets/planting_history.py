"""The whole life of a planting: seed lot, sowing, tray checks, soil check, rows, stand, evenness."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from shared_models.records.tables import Planting, Sowing, TrayCheck
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.references import Place
from shared_models.reports.pace.rates import By, RatesReport, rates_of
from shared_models.reports.plan.trays import tray_checks
from shared_models.reports.rows.rows import LoggedRow, load_planting_rows
from shared_models.reports.soil.beds import BedSoil, SoilReading
from shared_models.reports.stand.stands import PlantingStand, stands_of
from shared_models.reports.stand.tape import OddRow, PlantingEvenness, rows_with_many_misses, tape_samples


@dataclass(frozen=True, slots=True)
class PlantingHistory:
    """One planting from its seed on. Steps that have not arrived, or were not done, are None or empty."""

    planting: Planting
    place: Place
    sowing: Sowing | None
    trays: tuple[TrayCheck, ...]
    soil: SoilReading | None
    rates: RatesReport
    stand: PlantingStand
    evenness: PlantingEvenness | None
    odd_rows: tuple[OddRow, ...]


def planting_histories(
    context: ReportContext, plantings: Collection[str], soil: Mapping[str, BedSoil]
) -> list[PlantingHistory]:
    """The histories of these plantings in the order of their first rows, those to come at the end.

    `soil` has the beds with all their checks; the last before the first row is the one the planting went by.
    """
    names = context.references
    kept = {each for each in plantings if not names.plantings[each].voided}
    rows: dict[str, list[LoggedRow]] = defaultdict(list)
    for row in load_planting_rows(context, kept):
        rows[row.place.planting_id].append(row)
    sowings = {names.plantings[each].sowing for each in kept}
    trays = tray_checks(context, sowings)
    even = {each.planting_id: each for each in tape_samples(context, kept)}
    histories = []
    for stand in stands_of(context, kept).plantings:
        planting = names.plantings[stand.planting_id]
        mine = rows[planting.id]
        histories.append(
            PlantingHistory(
                planting=planting,
                place=names.place(planting.id),
                sowing=names.sowings.get(planting.sowing),
                trays=tuple(trays[planting.sowing]),
                soil=_before(mine, soil.get(planting.bed)),
                rates=rates_of(mine, By.ROW, context.farm),
                stand=stand,
                evenness=even.get(planting.id),
                odd_rows=tuple(rows_with_many_misses(mine)),
            )
        )
    return histories


def _before(rows: Collection[LoggedRow], bed: BedSoil | None) -> SoilReading | None:
    first = min((row.start for row in rows), default=None)
    if bed is None or first is None:
        return None
    return next((check for check in bed.checks if check.at <= first), None)
