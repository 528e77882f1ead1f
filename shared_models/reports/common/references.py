"""What a row or a check refers to by id, and how it is called. What has not arrived yet is called unknown."""

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple, TypeVar

from sqlalchemy import Select, and_
from sqlalchemy import select as select_columns
from sqlmodel import Session, col, select

from shared_models.log.prepared_statements import chunks
from shared_models.records.tables import Bed, Person, Planting, Sowing, table_of

UNKNOWN_BED = "unknown bed"
UNKNOWN_CROP = "unknown crop"
UNKNOWN_PERSON = "unknown person"
NO_CREW = "no crew entered"

NO_PLANTING = "Its planting is missing: sync, or fix it if it is flagged."
NO_SOWING = "Its sowing is missing, so its plants can't be counted: sync, or fix it if it is flagged."
NO_BED = "Its bed is missing: sync, or fix it if it is flagged."
PLANTING_DELETED = "Its planting was deleted."


@dataclass(frozen=True, slots=True)
class Place:
    """A planting by its names: bed, crop and spacing."""

    planting_id: str
    label: str
    bed_id: str | None
    bed: str
    crop: str
    spacing_mm: float | None
    missing: str = ""


def in_order(label: str) -> tuple[tuple[int, str], ...]:
    """Sort key for names as people sort them: Bed 2 before Bed 10."""
    parts = re.split(r"([0-9]+)", label.casefold())
    return tuple((int(part), "") if place % 2 else (0, part) for place, part in enumerate(parts))


class References:
    """Beds, sowings, plantings and people of a farm, each read when first asked for, once for a whole report.

    Deleted ones are known too, because the rows that were planted in them are still there. Whoever knows which
    plantings there will be looks them up, so that a day does not read the names of ten seasons.
    """

    def __init__(self, session: Session, farm: str) -> None:
        self._session, self._farm = session, farm
        self._places: dict[str, Place] = {}
        self._all_placed = False

    @cached_property
    def beds(self) -> Mapping[str, Bed]:
        return {bed.id: bed for bed in _all(self._session, Bed, self._farm)}

    @cached_property
    def sowings(self) -> Mapping[str, Sowing]:
        return {sowing.id: sowing for sowing in _all(self._session, Sowing, self._farm)}

    @cached_property
    def plantings(self) -> Mapping[str, Planting]:
        return {planting.id: planting for planting in _all(self._session, Planting, self._farm)}

    def crops(self) -> list[str]:
        query = select(Sowing.crop).where(Sowing.farm_id == self._farm, col(Sowing.voided).is_(False)).distinct()
        return list(self._session.exec(query.order_by(Sowing.crop)).all())

    def sown_in(self, plantings: Collection[str]) -> dict[str, Sowing]:
        """The sowing of each of these plantings, where both are known."""
        query = select(Planting.id, Sowing).where(Planting.farm_id == self._farm, Sowing.farm_id == self._farm)
        query = query.where(Planting.sowing == Sowing.id)
        found = (self._session.exec(query.where(col(Planting.id).in_(chunk))).all() for chunk in chunks(plantings))
        return {planting: sowing for some in found for planting, sowing in some}

    @cached_property
    def _people(self) -> Mapping[str, str]:
        query = select(Person.id, Person.name).where(Person.farm_id == self._farm)
        return dict(self._session.exec(query).all())

    def bed(self, bed_id: str | None) -> str:
        bed = self.beds.get(bed_id or "")
        return _called(bed.name, bed.block) if bed else UNKNOWN_BED

    def people(self, ids: Iterable[str]) -> tuple[str, ...]:
        return tuple(self._people.get(person, UNKNOWN_PERSON) for person in ids) or (NO_CREW,)

    def place(self, planting_id: str) -> Place:
        """What is known of a planting. Where it was not looked up, all of the farm's are, once."""
        if planting_id not in self._places:
            if not self._all_placed:
                self._place(_PLACES.where(_PLANTING.farm_id == self._farm))
                self._all_placed = True
            self._places.setdefault(planting_id, _place(planting_id))
        return self._places[planting_id]

    def look_up(self, plantings: Collection[str]) -> None:
        """Read these plantings with their beds and sowings."""
        unknown = set() if self._all_placed else set(plantings) - self._places.keys()
        for chunk in chunks(unknown):
            self._place(_PLACES.where(_PLANTING.farm_id == self._farm, _PLANTING.id.in_(chunk)))
        for planting_id in unknown:
            self._places.setdefault(planting_id, _place(planting_id))

    def _place(self, query: Select[Any]) -> None:
        for planting_id, *fields in self._session.connection().execute(query):
            self._places.setdefault(planting_id, _place(planting_id, _Planted(*fields)))


class _Planted(NamedTuple):
    """A planting with its bed and sowing; their ids are None where they are not known."""

    bed_id: str
    voided: bool
    sowing: str | None
    crop: str
    variety: str
    code: str
    spacing_mm: float
    bed: str | None
    name: str
    block: str


_PLANTING, _SOWING, _BED = table_of(Planting).c, table_of(Sowing).c, table_of(Bed).c
_PLACES = (
    select_columns(
        *(_PLANTING.id, _PLANTING.bed, _PLANTING.voided),
        *(_SOWING.id, _SOWING.crop, _SOWING.variety, _SOWING.code, _SOWING.spacing_mm),
        *(_BED.id, _BED.name, _BED.block),
    )
    .select_from(table_of(Planting))
    .outerjoin(table_of(Sowing), and_(_SOWING.farm_id == _PLANTING.farm_id, _SOWING.id == _PLANTING.sowing))
    .outerjoin(table_of(Bed), and_(_BED.farm_id == _PLANTING.farm_id, _BED.id == _PLANTING.bed))
)


def _place(planting_id: str, planted: _Planted | None = None) -> Place:
    sown = planted is not None and planted.sowing is not None
    crop = _crop_label(planted.crop, planted.variety, planted.code) if planted and sown else UNKNOWN_CROP
    bed = _called(planted.name, planted.block) if planted and planted.bed else UNKNOWN_BED
    return Place(
        planting_id,
        f"{crop}, {bed}",
        planted.bed_id if planted else None,
        bed,
        planted.crop if planted and sown else UNKNOWN_CROP,
        planted.spacing_mm if planted and sown else None,
        _missing(planted),
    )


def _called(name: str, block: str) -> str:
    return f"{name} ({block})" if block else name


_Table = TypeVar("_Table", Bed, Sowing, Planting)


def _all(session: Session, table: type[_Table], farm: str) -> list[_Table]:
    return list(session.exec(select(table).where(table.farm_id == farm)).all())


def _crop_label(crop: str, variety: str, code: str) -> str:
    return " ".join(part for part in (crop, variety, f"({code})" if code else "") if part)


def _missing(planted: _Planted | None) -> str:
    if planted is None:
        return NO_PLANTING
    if planted.sowing is None:
        return NO_SOWING
    if planted.bed is None:
        return NO_BED
    return PLANTING_DELETED if planted.voided else ""
