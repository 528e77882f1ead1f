"""What every page of the office has at hand: whose farm, what time it is, in which language and units."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Any

from fastapi import Depends, Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session, col, select

from server.auth.dependencies import Office, OfficeOf, Reading, SurroundingsOf
from server.office.shell.navigation import places_for
from server.office.shell.response import page
from server.render.localizer import Localizer
from server.web.language import LanguageOf
from shared_models.records.tables import Bed, RowPass, StandCount
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.farm import FarmFacts, farm_facts
from shared_models.reports.common.references import References


@dataclass(frozen=True, slots=True)
class OfficeContext:
    """Who is signed in, their farm, a session on its records, the time, how to talk, and what address was asked for."""

    office: Office
    farm: FarmFacts
    session: Session
    reports: ReportContext
    now: datetime
    localizer: Localizer
    address: str

    def names(self) -> References:
        """The farm's beds, sowings, plantings and people."""
        return self.reports.references

    def holds(self, table: type[RowPass | Bed | StandCount]) -> bool:
        """Whether the farm has any record of a kind that was not deleted."""
        found = select(table.id).where(table.farm_id == self.farm.id, col(table.voided).is_(False)).limit(1)
        return self.session.exec(found).first() is not None

    def show(self, template: str, **told: object) -> HTMLResponse:
        """A page in the office's frame."""
        frame: dict[str, Any] = {
            "office": self.office,
            "places": places_for(self.office.role),
            "farm": self.farm.name,
            "address": self.address,
            "printed": self.localizer.stamp(self.now),
        }
        return page(template, self.localizer, **frame | told)


def desk_of(
    office: OfficeOf, session: Reading, providers: SurroundingsOf, language: LanguageOf, request: Request
) -> OfficeContext:
    """The desk of whoever asks."""
    facts = farm_facts(session, office.farm)
    address = request.url.path + (f"?{request.url.query}" if request.url.query else "")
    reports = ReportContext.of(session, facts)
    return OfficeContext(office, facts, session, reports, providers.now(), Localizer.of(facts, language), address)


ContextOf = Annotated[OfficeContext, Depends(desk_of)]
