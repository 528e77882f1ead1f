"""How what records refer to is called, and the trade's words in a form."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from sqlmodel import Session, select

from server.render.localizer import Localizer
from shared_models.records.tables import Bed, Person, Planting, Sowing
from shared_models.reports.audit.entries import Names
from shared_models.reports.common.references import UNKNOWN_BED, UNKNOWN_CROP, UNKNOWN_PERSON

_Record = TypeVar("_Record", Bed, Sowing, Planting, Person)


@dataclass(frozen=True, slots=True)
class RecordNames:
    """How people here talk, and what ids stand for."""

    localizer: Localizer
    names: Names

    def bed(self, bed: Any) -> str:
        """A bed, with its block where it has one."""
        found = _known(self.names.beds, bed)
        if found is None:
            return self.localizer.t(UNKNOWN_BED)
        return f"{found.name} ({found.block})" if found.block else found.name

    def sowing(self, sowing: Any) -> str:
        """A sowing: crop, variety and code."""
        found = _known(self.names.sowings, sowing)
        if found is None:
            return self.localizer.t(UNKNOWN_CROP)
        return " ".join(part for part in (found.crop, found.variety, f"({found.code})" if found.code else "") if part)

    def planting(self, planting: Any) -> str:
        """What was set where."""
        found = _known(self.names.plantings, planting)
        return f"{self.sowing(found and found.sowing)}, {self.bed(found and found.bed)}"

    def person(self, person: Any) -> str:
        """Somebody who works here."""
        found = _known(self.names.people, person)
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
