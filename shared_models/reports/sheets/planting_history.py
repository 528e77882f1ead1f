"""The whole life of a planting: seed lot, sowing, tray checks, the look at the soil, rows, stand, evenness."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from sqlmodel import Session

from shared_models.records.tables import Planting, Sowing, TrayCheck
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.common.references import Place, References
from shared_models.reports.pace.rates import By, RatesReport, rates_of
from shared_models.reports.plan.trays import tray_checks
from shared_models.reports.rows.rows import LoggedRow, of_plantings
from shared_models.reports.soil.beds import BedSoil, SoilReading
from shared_models.reports.stand.stands import PlantingStand, stands_of
from shared_models.reports.stand.tape import OddRow, PlantingEvenness, rows_with_many_misses, tape_samples


@dataclass(frozen=True, slots=True)
class PlantingHistory:
    """One planting from its seed on. What has not arrived, or was not done, is None or empty."""

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
    session: Session, farm: FarmFacts, names: References, plantings: Collection[str], soil: Mapping[str, BedSoil]
) -> list[PlantingHistory]:
    """The lives of these plantings in the order of their first rows, those to come at the end.

    `soil` has the beds with all their checks; the last before the first row is the one the planting went by.
    """
    asked = {each for each in plantings if not names.plantings[each].voided}
    rows: dict[str, list[LoggedRow]] = defaultdict(list)
    for row in of_plantings(session, farm, asked, names):
        rows[row.place.planting_id].append(row)
    sowings = {names.plantings[each].sowing for each in asked}
    trays = tray_checks(session, farm.id, sowings)
    even = {each.planting_id: each for each in tape_samples(session, farm, asked, names)}
    told = []
    for stand in stands_of(session, farm, asked, names).plantings:
        planting = names.plantings[stand.planting_id]
        mine = rows[planting.id]
        told.append(
            PlantingHistory(
                planting=planting,
                place=names.place(planting.id),
                sowing=names.sowings.get(planting.sowing),
                trays=tuple(trays[planting.sowing]),
                soil=_before(mine, soil.get(planting.bed)),
                rates=rates_of(mine, By.ROW, farm),
                stand=stand,
                evenness=even.get(planting.id),
                odd_rows=tuple(rows_with_many_misses(mine)),
            )
        )
    return told


def _before(rows: Collection[LoggedRow], bed: BedSoil | None) -> SoilReading | None:
    first = min((row.start for row in rows), default=None)
    if bed is None or first is None:
        return None
    return next((check for check in bed.checks if check.at <= first), None)
