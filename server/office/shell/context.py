"""Request context of the office: user, farm, database session, time and localizer."""

from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Any

from fastapi import Depends, Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session, col, select

from server.auth.dependencies import Office, OfficeOf, ProvidersOf, Reading
from server.office.shell.damage import damage_sentences
from server.office.shell.navigation import navigation_for
from server.office.shell.response import page
from server.render.localizer import Localizer
from server.web.language import LanguageOf
from shared_models.core.vocabulary import Role
from shared_models.records.tables import Bed, RowPass, StandCount
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.farm import FarmFacts, farm_facts
from shared_models.reports.common.references import References


@dataclass(frozen=True, slots=True)
class OfficeContext:
    """The user, the farm, a session on its records, the time, the localizer and the requested address."""

    office: Office
    farm: FarmFacts
    session: Session
    reports: ReportContext
    now: datetime
    localizer: Localizer
    address: str

    def names(self) -> References:
        return self.reports.references

    def holds(self, table: type[RowPass | Bed | StandCount]) -> bool:
        """Whether the farm has any record of a kind that is not deleted."""
        found = select(table.id).where(table.farm_id == self.farm.id, col(table.voided).is_(False)).limit(1)
        return self.session.exec(found).first() is not None

    def show(self, template: str, **values: object) -> HTMLResponse:
        owner = self.office.role.covers(Role.OWNER)
        damage = damage_sentences(self.session.connection(), self.farm.id, self.localizer) if owner else ()
        frame: dict[str, Any] = {
            "damage": list(damage),
            "office": self.office,
            "nav_items": navigation_for(self.office.role),
            "farm": self.farm.name,
            "address": self.address,
            "printed": self.localizer.date_time(self.now),
        }
        return page(template, self.localizer, **frame | values)


def office_context(
    office: OfficeOf, session: Reading, providers: ProvidersOf, language: LanguageOf, request: Request
) -> OfficeContext:
    """The context of a request."""
    facts = farm_facts(session, office.farm)
    address = request.url.path + (f"?{request.url.query}" if request.url.query else "")
    reports = ReportContext.of(session, facts)
    return OfficeContext(office, facts, session, reports, providers.now(), Localizer.of(facts, language), address)


ContextOf = Annotated[OfficeContext, Depends(office_context)]
