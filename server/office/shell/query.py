"""The query string of a report page (from, to, crop, bed) and its filter form."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated

from fastapi import Depends, Query
from pydantic import BeforeValidator, StringConstraints

from server.office.shell.view import Choice
from shared_models.records import field_types
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.common.filters import Filters
from shared_models.reports.common.references import References, in_order


def _empty_to_none(value: str) -> str | None:
    return value.strip() or None


Day = Annotated[field_types.Day | None, BeforeValidator(_empty_to_none)]
Word = Annotated[Annotated[str, StringConstraints(max_length=300)] | None, BeforeValidator(_empty_to_none)]


@dataclass(frozen=True, slots=True)
class PageQuery:
    """The days, crop and bed of the query; None is any."""

    since: date | None
    until: date | None
    crop: str | None
    bed: str | None

    def filters(self, farm: FarmFacts, now: datetime) -> Filters:
        """Filters from the query; without a first day, they start with the season."""
        since = self.since or farm.season_begins(self.until or farm.day(now))
        return Filters(since=since, until=self.until, crop=self.crop, bed=self.bed)

    def pairs(self) -> tuple[tuple[str, str], ...]:
        values = {"from": self.since, "to": self.until, "crop": self.crop, "bed": self.bed}
        return tuple((name, str(value)) for name, value in values.items() if value)


def page_query(
    since: Annotated[Day, Query(alias="from")] = None,
    until: Annotated[Day, Query(alias="to")] = None,
    crop: Annotated[Word, Query()] = None,
    bed: Annotated[Word, Query()] = None,
) -> PageQuery:
    """The query of a request."""
    return PageQuery(since, until, crop, bed)


PageQueryOf = Annotated[PageQuery, Depends(page_query)]


@dataclass(frozen=True, slots=True)
class FilterForm:
    """The filter form of a page with its current values. `crops` is empty where a page has no such filter."""

    path: str
    since: date | None
    until: date | None
    crops: tuple[Choice, ...]
    beds: tuple[Choice, ...]


def filter_form(path: str, query: PageQuery, filters: Filters, names: References, *, crops: bool = True) -> FilterForm:
    """The filter form of a page, with the farm's crops and beds."""
    return FilterForm(
        path,
        filters.since,
        filters.until,
        tuple(_crops(names, query.crop)) if crops else (),
        tuple(bed_choices(names, query.bed)),
    )


def _crops(names: References, chosen: str | None) -> Iterable[Choice]:
    crops = {crop.casefold(): crop for crop in names.crops()}
    for key in sorted(crops, key=in_order):
        yield Choice(crops[key], crops[key], chosen is not None and chosen.casefold() == key)


def bed_choices(names: References, chosen: str | None) -> Iterable[Choice]:
    """The farm's beds to choose from, by name."""
    beds = [(names.bed(bed.id), bed.id) for bed in names.beds.values() if not bed.voided]
    for label, bed in sorted(beds, key=lambda each: (in_order(each[0]), each[1])):
        yield Choice(bed, label, bed == chosen)
