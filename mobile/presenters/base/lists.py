"""What there is to choose from: people, beds, sowings, plantings."""

from sqlmodel import col, select

from mobile.presenters.base.presenter import AppContext
from shared_models.records.tables import Bed, Person, RowPass, Sowing
from shared_models.reports.common import find
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.filters import Filters
from shared_models.reports.soil.beds import soil
from shared_models.trade.soil.readiness import Verdict

#: rows searched for recent crews
ROWS_BACK = 60


def everybody(context: AppContext) -> list[Person]:
    """Everybody who works here, in the order of the alphabet."""
    with context.notebook.reading() as session:
        found = session.exec(
            select(Person).where(Person.farm_id == context.notebook.farm, col(Person.voided).is_(False))
        )
        return sorted(found, key=lambda each: each.name.casefold())


def people(context: AppContext) -> dict[str, str]:
    """Everybody's name, in the order of the alphabet."""
    return {person.id: person.name for person in everybody(context)}


def crews(context: AppContext) -> list[tuple[str, ...]]:
    """Who worked together lately, last first: the crews of the last rows, of people who still work here."""
    here = people(context)
    with context.notebook.reading() as session:
        named = select(RowPass.crew).where(RowPass.farm_id == context.notebook.farm, col(RowPass.voided).is_(False))
        found = session.exec(named.order_by(col(RowPass.id).desc()).limit(ROWS_BACK))
        together = {tuple(sorted(crew, key=lambda each: here.get(each, "").casefold())): None for crew in found}
    return [crew for crew in together if crew and all(person in here for person in crew)]


def beds(context: AppContext) -> list[find.ListedBed]:
    """Every bed in use, by name."""
    with context.notebook.reading() as session:
        return [each for each in find.beds(ReportContext.of(session, context.notebook.farm)) if not each.bed.retired]


def block_of(bed: Bed) -> str:
    """The block of a bed, unless its name begins with it."""
    return "" if bed.name.casefold().startswith(bed.block.casefold()) else bed.block


def sowings(context: AppContext) -> list[Sowing]:
    """Every sowing, the last one first."""
    with context.notebook.reading() as session:
        found = session.exec(
            select(Sowing).where(Sowing.farm_id == context.notebook.farm, col(Sowing.voided).is_(False))
        )
        return sorted(found, key=lambda each: each.id, reverse=True)


def soil_now(context: AppContext, bed: str) -> Verdict | None:
    """How ready a bed is now, by its last soil check; None where there is none, or the bed is not known."""
    with context.notebook.reading() as session:
        reports = ReportContext.of(session, context.notebook.farm)
        found = soil(reports, context.notebook.now().at, Filters(bed=bed)).beds
        return found[0].now if found else None


def plantings(context: AppContext) -> list[find.ListedPlanting]:
    """Every planting, the last one first."""
    with context.notebook.reading() as session:
        found = find.plantings(ReportContext.of(session, context.notebook.farm))
    return sorted(found, key=lambda each: each.planting.id, reverse=True)
