"""A bed's planting record for an inspector: what was planted, from which seed, when, by whom; what was corrected."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, select

from shared_models.log.log import Head, heads
from shared_models.log.projection import Histories, histories
from shared_models.records.tables import PROJECTIONS, Bed, table_of
from shared_models.reports.audit.entries import Entry, flagged
from shared_models.reports.audit.history import Written, corrections, in_order, without_repeats
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.filters import Filters
from shared_models.reports.common.references import References
from shared_models.reports.sheets.planting_history import PlantingHistory, planting_histories
from shared_models.reports.soil.beds import soil


@dataclass(frozen=True, slots=True)
class BedRecord:
    """Everything about one bed, and how to prove it.

    `corrections` are the lines that changed what had been filled in, in their order; `flagged` are entries that break a
    rule: left out, or there in their last good form; `logs` are the heads of the logs that all entries stand in, and
    `lines` the numbers of these entries' lines in them, by device.
    """

    bed: Bed
    label: str
    plantings: tuple[PlantingHistory, ...]
    corrections: tuple[Written, ...]
    flagged: tuple[Entry, ...]
    logs: tuple[Head, ...]
    lines: Mapping[str, set[int]]


def bed_record(reports: ReportContext, bed: str, now: datetime) -> BedRecord:
    """The record of a bed, by its id."""
    session, farm, names = reports.session, reports.farm.id, reports.references
    connection = session.connection()
    here = _plantings_of(names, bed)
    (checked,) = soil(reports, now, Filters(bed=bed)).beds
    touched = bed_histories(reports, bed)
    lines: dict[str, set[int]] = defaultdict(set)
    for line in (line for revisions in touched.values() for line in without_repeats(revisions)):
        lines[line.device].add(line.seq)
    return BedRecord(
        bed=names.beds[bed],
        label=names.bed(bed),
        plantings=tuple(planting_histories(reports, here, {bed: checked})),
        corrections=tuple(corrections(in_order(touched))),
        flagged=tuple(each for each in flagged(session, farm) if each.key in touched or _is_here(each, bed, here)),
        logs=tuple(log for log in heads(connection, farm) if log.device in lines and not log.private),
        lines=lines,
    )


def bed_histories(reports: ReportContext, bed: str) -> Histories:
    """Every line of every record that belongs to a bed."""
    connection, names, farm = reports.session.connection(), reports.references, reports.farm.id
    return histories(connection, farm, _belonging(connection, farm, names, bed, _plantings_of(names, bed)))


def _plantings_of(names: References, bed: str) -> set[str]:
    return {each.id for each in names.plantings.values() if each.bed == bed}


def _belonging(connection: Connection, farm: str, names: References, bed: str, plantings: set[str]) -> Iterable[str]:
    """The ids of every record that belongs to the bed, deleted ones too."""
    sowings = {names.plantings[each].sowing for each in plantings} & names.sowings.keys()
    yield from (bed, *plantings, *sowings)
    for kind, reference, owners in (
        ("row_pass", "planting", plantings),
        ("stand_count", "planting", plantings),
        ("tray_check", "sowing", sowings),
        ("soil_check", "bed", {bed}),
    ):
        table = table_of(PROJECTIONS[kind]).c
        found = select(table.id).where(table.farm_id == farm, table[reference].in_(sorted(owners)))
        yield from connection.execute(found).scalars()


def _is_here(entry: Entry, bed: str, plantings: set[str]) -> bool:
    planting = entry.fields.get("planting")  # of any kind, since the record breaks a rule
    return entry.fields.get("bed") == bed or (isinstance(planting, str) and planting in plantings)
