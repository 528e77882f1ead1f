"""What beds and plantings does the farm have?"""

from dataclasses import dataclass
from datetime import date

from shared_models.errors import UnknownRecord
from shared_models.records.tables import Bed, Planting, Sowing
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.references import Place, References, in_order


@dataclass(frozen=True, slots=True)
class ListedBed:
    """A bed and its label."""

    label: str
    bed: Bed


@dataclass(frozen=True, slots=True)
class ListedPlanting:
    """A planting with what it refers to; None is what has not arrived yet."""

    place: Place
    planting: Planting
    sowing: Sowing | None


def beds(context: ReportContext) -> list[ListedBed]:
    """Every bed that was not deleted, by name; retired ones too."""
    names = context.references
    listed = [ListedBed(names.bed(bed.id), bed) for bed in names.beds.values() if not bed.voided]
    return sorted(listed, key=lambda each: (in_order(each.label), each.bed.id))


def plantings(context: ReportContext) -> list[ListedPlanting]:
    """Every planting that was not deleted, by planned day and name."""
    names = context.references
    listed = [
        ListedPlanting(names.place(planting.id), planting, names.sowings.get(planting.sowing))
        for planting in names.plantings.values()
        if not planting.voided
    ]
    return sorted(
        listed,
        key=lambda each: (each.planting.planned_on or date.max, in_order(each.place.label), each.planting.id),
    )


def find_bed(context: ReportContext, text: str) -> str:
    """The id of a bed, by its id, its name, or its name with its block.

    Raises:
        UnknownRecord: when no bed, or more than one, is called that.
    """
    if context.session.get(Bed, (context.farm.id, text)):
        return text
    names = context.references
    wanted = text.strip().casefold()
    found = [bed.id for bed in names.beds.values() if wanted in (bed.name.casefold(), names.bed(bed.id).casefold())]
    if len(found) != 1:
        raise UnknownRecord("bed", text)
    return found[0]


def find_planting(context: ReportContext, text: str) -> str:
    """The id of a planting, by its id, its label, or the code of its sowing where that was planted once.

    Raises:
        UnknownRecord: when no planting, or more than one, is called that.
    """
    if context.session.get(Planting, (context.farm.id, text)):
        return text
    names = context.references
    wanted = text.strip().casefold()
    found = [each for each in names.plantings if wanted in _called(names, each)]
    if len(found) != 1:
        raise UnknownRecord("planting", text)
    return found[0]


def _called(names: References, planting: str) -> tuple[str, ...]:
    sowing = names.sowings.get(names.plantings[planting].sowing)
    return names.place(planting).label.casefold(), sowing.code.casefold() if sowing else ""
