"""What a row or a check refers to by id, and how it is called. What has not arrived yet is called unknown."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar

from sqlmodel import Session, select

from shared_models.tables import Bed, Person, Planting, Sowing

UNKNOWN_BED = "unknown bed"
UNKNOWN_CROP = "unknown crop"
UNKNOWN_PERSON = "unknown person"
NOBODY_NAMED = "nobody named"

NO_PLANTING = "Its planting is unknown here: sync, or correct it where it is flagged."
NO_SOWING = "Its sowing is unknown here, so its plants cannot be counted: sync, or correct it where it is flagged."
NO_BED = "Its bed is unknown here: sync, or correct it where it is flagged."
PLANTING_DELETED = "Its planting was deleted."


@dataclass(frozen=True, slots=True)
class Place:
    """A planting as it is told to people: what stands where, at which spacing."""

    planting_id: str
    label: str
    bed_id: str | None
    bed: str
    crop: str
    spacing_mm: float | None
    missing: str = ""


def in_order(label: str) -> tuple[tuple[int, str], ...]:
    """Sorts names as people do: Bed 2 before Bed 10."""
    parts = re.split(r"([0-9]+)", label.casefold())
    return tuple((int(part), "") if place % 2 else (0, part) for place, part in enumerate(parts))


class References:
    """Beds, sowings, plantings and people of a farm, read once for a whole report.

    Deleted ones are known too, because the rows that were planted in them are still there.
    """

    def __init__(self, session: Session, farm: str) -> None:
        self.beds = {bed.id: bed for bed in _all(session, Bed, farm)}
        self.sowings = {sowing.id: sowing for sowing in _all(session, Sowing, farm)}
        self.plantings = {planting.id: planting for planting in _all(session, Planting, farm)}
        self._people = {person.id: person.name for person in _all(session, Person, farm)}
        self._places: dict[str, Place] = {}

    def bed(self, bed_id: str | None) -> str:
        """How a bed is called, with its block where it has one."""
        bed = self.beds.get(bed_id or "")
        if bed is None:
            return UNKNOWN_BED
        return f"{bed.name} ({bed.block})" if bed.block else bed.name

    def people(self, ids: Iterable[str]) -> tuple[str, ...]:
        """The names of a crew."""
        return tuple(self._people.get(person, UNKNOWN_PERSON) for person in ids) or (NOBODY_NAMED,)

    def place(self, planting_id: str) -> Place:
        """What is known of a planting."""
        if planting_id not in self._places:
            self._places[planting_id] = self._find_place(planting_id)
        return self._places[planting_id]

    def _find_place(self, planting_id: str) -> Place:
        planting = self.plantings.get(planting_id)
        sowing = self.sowings.get(planting.sowing) if planting else None
        bed_id = planting.bed if planting else None
        bed = self.bed(bed_id)
        return Place(
            planting_id,
            f"{_told(sowing) if sowing else UNKNOWN_CROP}, {bed}",
            bed_id,
            bed,
            sowing.crop if sowing else UNKNOWN_CROP,
            sowing.spacing_mm if sowing else None,
            _missing(planting, sowing, known_bed=bed_id in self.beds),
        )


_Table = TypeVar("_Table", Bed, Sowing, Planting, Person)


def _all(session: Session, table: type[_Table], farm: str) -> list[_Table]:
    return list(session.exec(select(table).where(table.farm_id == farm)).all())


def _told(sowing: Sowing) -> str:
    code = f"({sowing.code})" if sowing.code else ""
    return " ".join(part for part in (sowing.crop, sowing.variety, code) if part)


def _missing(planting: Planting | None, sowing: Sowing | None, *, known_bed: bool) -> str:
    if planting is None:
        return NO_PLANTING
    if sowing is None:
        return NO_SOWING
    if not known_bed:
        return NO_BED
    return PLANTING_DELETED if planting.voided else ""
