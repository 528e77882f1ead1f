"""What records that a form refers to are called."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from sqlmodel import Session, select

from server.render.localizer import Localizer
from shared_models.fields.references import bed_label, sowing_label
from shared_models.records.tables import Bed, Person, Planting, Sowing
from shared_models.reports.audit.entries import Names
from shared_models.reports.common.references import UNKNOWN_BED, UNKNOWN_CROP, UNKNOWN_PERSON

_Record = TypeVar("_Record", Bed, Sowing, Planting, Person)


@dataclass(frozen=True, slots=True)
class RecordNames:
    """Names of records by id, in the reader's language."""

    localizer: Localizer
    records: Names

    def bed(self, bed: Any) -> str:
        found = _known(self.records.beds, bed)
        return bed_label(found) if found else self.localizer.t(UNKNOWN_BED)

    def sowing(self, sowing: Any) -> str:
        found = _known(self.records.sowings, sowing)
        return sowing_label(found) if found else self.localizer.t(UNKNOWN_CROP)

    def planting(self, planting: Any) -> str:
        found = _known(self.records.plantings, planting)
        return f"{self.sowing(found and found.sowing)}, {self.bed(found and found.bed)}"

    def person(self, person: Any) -> str:
        found = _known(self.records.people, person)
        return found.name if found else self.localizer.t(UNKNOWN_PERSON)


def _known(records: Mapping[str, _Record], record: Any) -> _Record | None:
    """A record by what a line holds as its id, which may be anything."""
    return records.get(record) if isinstance(record, str) else None


def all_names(session: Session, farm: str) -> Names:
    """Everything that a form can refer to, deleted ones too."""
    return Names(
        {each.id: each for each in session.exec(select(Bed).where(Bed.farm_id == farm))},
        {each.id: each for each in session.exec(select(Sowing).where(Sowing.farm_id == farm))},
        {each.id: each for each in session.exec(select(Planting).where(Planting.farm_id == farm))},
        {each.id: each for each in session.exec(select(Person).where(Person.farm_id == farm))},
    )
