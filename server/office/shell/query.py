"""What the address of a page asks about (from, to, crop, bed), so that a page can be kept as a bookmark."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated

from fastapi import Depends, Query
from pydantic import BeforeValidator, StringConstraints

from server.office.shell.view import Choice
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.common.filters import Filters
from shared_models.reports.common.references import References, in_order


def _told(value: str) -> str | None:
    """A form sends a field that was left empty as an empty text."""
    return value.strip() or None


Day = Annotated[date | None, BeforeValidator(_told)]
Word = Annotated[Annotated[str, StringConstraints(max_length=300)] | None, BeforeValidator(_told)]


@dataclass(frozen=True, slots=True)
class Asked:
    """The days, the crop and the bed that are asked about; None is any."""

    since: date | None
    until: date | None
    crop: str | None
    bed: str | None

    def filters(self, farm: FarmFacts, now: datetime) -> Filters:
        """Without days asked for, the season it is; a last day alone begins with its season."""
        since = self.since or farm.season_begins(self.until or farm.day(now))
        return Filters(since=since, until=self.until, crop=self.crop, bed=self.bed)

    def pairs(self) -> tuple[tuple[str, str], ...]:
        """What stands in the address."""
        told = {"from": self.since, "to": self.until, "crop": self.crop, "bed": self.bed}
        return tuple((name, str(value)) for name, value in told.items() if value)


def asked(
    since: Annotated[Day, Query(alias="from")] = None,
    until: Annotated[Day, Query(alias="to")] = None,
    crop: Annotated[Word, Query()] = None,
    bed: Annotated[Word, Query()] = None,
) -> Asked:
    """What the address asks about."""
    return Asked(since, until, crop, bed)


AskedOf = Annotated[Asked, Depends(asked)]


@dataclass(frozen=True, slots=True)
class AskedForm:
    """The form that asks: its fields as they stand. `crops` is empty where a page does not ask for one."""

    path: str
    since: date | None
    until: date | None
    crops: tuple[Choice, ...]
    beds: tuple[Choice, ...]


def form(path: str, asked: Asked, filters: Filters, names: References, *, crops: bool = True) -> AskedForm:
    """The form of a page, with the farm's own crops and beds."""
    return AskedForm(
        path,
        filters.since,
        filters.until,
        tuple(_crops(names, asked.crop)) if crops else (),
        tuple(_beds(names, asked.bed)),
    )


def _crops(names: References, asked: str | None) -> Iterable[Choice]:
    crops = {crop.casefold(): crop for crop in names.crops()}
    for key in sorted(crops, key=in_order):
        yield Choice(crops[key], crops[key], asked is not None and asked.casefold() == key)


def _beds(names: References, asked: str | None) -> Iterable[Choice]:
    beds = [(names.bed(bed.id), bed.id) for bed in names.beds.values() if not bed.voided]
    for label, bed in sorted(beds, key=lambda each: (in_order(each[0]), each[1])):
        yield Choice(bed, label, bed == asked)
