"""What every report of one request or page shares."""

from dataclasses import dataclass
from typing import Self

from sqlmodel import Session

from shared_models.reports.common.farm import FarmFacts, farm_facts
from shared_models.reports.common.references import References


@dataclass(frozen=True, slots=True)
class ReportContext:
    """A session on the farm's records, the farm's facts, and its beds, sowings, plantings and people, read once."""

    session: Session
    farm: FarmFacts
    references: References

    @classmethod
    def of(cls, session: Session, farm: FarmFacts | str) -> Self:
        facts = farm_facts(session, farm) if isinstance(farm, str) else farm
        return cls(session, facts, References(session, facts.id))
