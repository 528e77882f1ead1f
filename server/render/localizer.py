"""How the office talks, in pages and printed reports: figures as `reports.figures` rounds them, the local way."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from gettext import NullTranslations
from pathlib import Path
from typing import Self

from shared_models.i18n import formats
from shared_models.i18n import localizer as shared
from shared_models.i18n.catalog import catalogue
from shared_models.i18n.formats import NOT_TOLD, in_farm_units
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.common.references import NOBODY_NAMED, UNKNOWN_BED, UNKNOWN_CROP, UNKNOWN_PERSON
from shared_models.reports.pace.rates import UNKNOWN_SPACING
from shared_models.reports.rows.rows import BED_AND_ROW, LoggedRow

FOLDER = Path(__file__).parent / "locale"
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
#: a text for each month: "May" alone would also be the short name of the month
WHOLE_DAYS = tuple(f"{{weekday}}, {{day}} {month} {{year}}" for month in _MONTHS)
#: what reports call that whose record has not arrived
UNKNOWN = (UNKNOWN_BED, UNKNOWN_CROP, UNKNOWN_PERSON, NOBODY_NAMED, UNKNOWN_SPACING)


@dataclass(frozen=True, slots=True)
class Localizer(shared.Localizer):
    """One way to talk, with the office's own catalogue."""

    @classmethod
    def of(cls, farm: FarmFacts, language: str = "en") -> Self:
        """In a language, with this farm's units and clock."""
        return cls(language, farm.units, farm.zone)

    def catalogue(self) -> NullTranslations:
        """The office's texts in this language."""
        return _catalogue(self.language)

    # names in reports

    def name(self, label: str) -> str:
        """What people have named stays as it is; what stands for a name that is not known is translated."""
        for unknown in UNKNOWN:
            if unknown in label:
                label = label.replace(unknown, self.t(unknown))
        return label

    def row(self, row: LoggedRow) -> str:
        """Bed and row, the row's number beside its word."""
        told = self.t(BED_AND_ROW).replace(" {row}", "\N{NO-BREAK SPACE}{row}")
        return told.format(bed=self.name(row.place.bed), row=row.row)

    # figures

    def fixed(self, value: float | None, digits: int = 0) -> str:
        """A figure with all its decimals."""
        return self._local(formats.number(value, digits))

    def short(self, value: float) -> str:
        """A figure to a tenth, and without the tenth where that is 0."""
        return self._local(formats.short(value))

    def percent(self, share: float | None, digits: int = 1) -> str:
        """A share as a percentage."""
        return self._local(formats.percent(share, digits))

    def minutes(self, seconds: float, digits: int = 1) -> str:
        """A time in minutes."""
        return self._local(formats.minutes(seconds, digits))

    def far(self, mm: float | None, digits: int = 0) -> str:
        """A length, or a length an hour, where its unit stands beside it."""
        return self.fixed(in_farm_units(mm, self.units), digits)

    def in_units(self, mm: float) -> float:
        """A length, or a length an hour, in the farm's unit and not rounded, for pictures."""
        return in_farm_units(mm, self.units)

    @property
    def unit(self) -> str:
        """The unit that lengths of row are said in."""
        return self.t("ft" if self.feet else "m")

    def span_of(self, low: float, high: float) -> str:
        """From one share to another."""
        return self.t("{low} to {high}", low=self.percent(low), high=self.percent(high))

    def _local(self, figure: str) -> str:
        return figure.translate({ord(","): self.conventions.thousands, ord("."): self.conventions.point})

    # days

    def day_in_full(self, day: date) -> str:
        """A day with its name, as a heading."""
        weekday = self.t(WEEKDAYS[day.weekday()])
        return self.t(WHOLE_DAYS[day.month - 1], weekday=weekday, day=day.day, year=day.year)

    def date_figures(self, day: date | None) -> str:
        """A day in figures, where a table or a line needs it short; English has two orders, so it takes neither."""
        if day is None:
            return NOT_TOLD
        return f"{day.day}/{day.month}/{day.year}" if self.conventions.day_first else day.isoformat()

    def date_range(self, first: date | None, last: date | None) -> str:
        """From one day to another."""
        if first is None or last is None or first == last:
            return self.date_figures(first or last)
        return self.t("{low} to {high}", low=self.date_figures(first), high=self.date_figures(last))

    def stamp(self, at: datetime) -> str:
        """A moment in figures."""
        local = self.local(at)
        return f"{self.date_figures(local.date())} {local:%H:%M}"


@cache
def _catalogue(language: str) -> NullTranslations:
    return catalogue(FOLDER, language)
