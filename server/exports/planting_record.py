"""A bed's planting record for an inspector: what was planted, from which seed, when, by whom; what was corrected."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, select
from sqlmodel import Session

from server.tables import Device
from shared_models.log import Head, heads
from shared_models.projection import histories
from shared_models.reports.farm import FarmFacts, farm_facts
from shared_models.reports.filters import Filters
from shared_models.reports.gather import LoggedRow, of_plantings
from shared_models.reports.history import Written, corrections, in_order
from shared_models.reports.references import References
from shared_models.reports.soil import SoilReading, soil_of
from shared_models.reports.stands import PlantingStand, stands_of
from shared_models.tables import PROJECTIONS, Bed, Flagged, Planting, Sowing, table_of


@dataclass(frozen=True, slots=True)
class PlantedCrop:
    """One planting: from the seed lot to the stand. `check` is the last look at the soil before the first row."""

    planting: Planting
    label: str
    sowing: Sowing | None
    rows: tuple[LoggedRow, ...]
    stand: PlantingStand
    check: SoilReading | None


@dataclass(frozen=True, slots=True)
class BedRecord:
    """Everything about one bed, and how to prove it.

    `logs` are the heads of the logs that these entries stand in; `devices` and `people` are names by id, `labels` tell
    what each record is. `flagged` are entries left out because they break a rule: what, and why.
    """

    farm: FarmFacts
    bed: Bed
    label: str
    plantings: tuple[PlantedCrop, ...]
    corrections: tuple[Written, ...]
    flagged: tuple[tuple[str, str], ...]
    logs: tuple[Head, ...]
    devices: Mapping[str, str]
    labels: Mapping[str, str]
    names: References


def bed_record(session: Session, farm: str, bed: str, now: datetime) -> BedRecord:
    """The record of a bed, by its id."""
    facts, names, connection = farm_facts(session, farm), References(session, farm), session.connection()
    here = {each.id for each in names.plantings.values() if each.bed == bed}
    labels = _labels(connection, farm, names, bed, here)
    touched = histories(connection, farm, labels)
    wrote = {revision.device for revisions in touched.values() for revision in revisions}
    return BedRecord(
        farm=facts,
        bed=names.beds[bed],
        label=names.bed(bed),
        plantings=tuple(_plantings(session, facts, names, bed, here, now)),
        corrections=tuple(corrections(in_order(touched))),
        flagged=tuple(_flagged(connection, farm, bed, here)),
        logs=tuple(log for log in heads(connection, farm) if log.device in wrote and not log.private),
        devices=_devices(connection, farm),
        labels=labels,
        names=names,
    )


def _plantings(
    session: Session, farm: FarmFacts, names: References, bed: str, here: set[str], now: datetime
) -> Iterable[PlantedCrop]:
    living = {each for each in here if not names.plantings[each].voided}
    (look,) = soil_of(session, farm, now, names, Filters(bed=bed)).beds
    rows: dict[str, list[LoggedRow]] = defaultdict(list)
    for row in of_plantings(session, farm, living, names):
        rows[row.place.planting_id].append(row)
    for stand in stands_of(session, farm, living, names).plantings:
        planting = names.plantings[stand.planting_id]
        first = min((row.start for row in rows[planting.id]), default=None)
        yield PlantedCrop(
            planting=planting,
            label=stand.label,
            sowing=names.sowings.get(planting.sowing),
            rows=tuple(rows[planting.id]),
            stand=stand,
            check=next((check for check in look.checks if first and check.at <= first), None),
        )


def _labels(connection: Connection, farm: str, names: References, bed: str, plantings: set[str]) -> dict[str, str]:
    """Every record that belongs to the bed, deleted ones too, and what it is."""
    sowings = {names.plantings[each].sowing for each in plantings} & names.sowings.keys()
    labels = {bed: f"bed {names.bed(bed)}"}
    labels |= {each: f"planting {names.place(each).label}" for each in plantings}
    labels |= {each: f"sowing {names.sowings[each].crop} {names.sowings[each].code}".strip() for each in sowings}
    for kind, reference, owners, shown in (
        ("row_pass", "planting", plantings, "row"),
        ("stand_count", "planting", plantings, "row"),
        ("tray_check", "sowing", sowings, "on"),
        ("soil_check", "bed", {bed}, "at"),
    ):
        table = table_of(PROJECTIONS[kind]).c
        found = select(table.id, table[shown]).where(table.farm_id == farm, table[reference].in_(sorted(owners)))
        labels |= {row.id: f"{kind.replace('_', ' ')} {_short(row[1])}" for row in connection.execute(found)}
    return labels


def _short(shown: object) -> str:
    return f"{shown:%Y-%m-%d}" if isinstance(shown, datetime) else str(shown)


def _flagged(connection: Connection, farm: str, bed: str, plantings: set[str]) -> Iterable[tuple[str, str]]:
    table = table_of(Flagged).c
    for row in connection.execute(
        select(table.kind, table.id, table.problems, table.fields).where(table.farm_id == farm)
    ):
        fields = json.loads(row.fields)
        if fields.get("voided") is not True and (bed == fields.get("bed") or fields.get("planting") in plantings):
            reasons = "; ".join(f"{name.replace('_', ' ')}: {why}" for name, why in json.loads(row.problems).items())
            yield f"{row.kind.replace('_', ' ')} {row.id}", reasons


def _devices(connection: Connection, farm: str) -> dict[str, str]:
    device = table_of(Device).c
    return {
        row.id: row.name for row in connection.execute(select(device.id, device.name).where(device.farm_id == farm))
    }
