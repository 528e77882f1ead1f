"""The office's localizer: what both programs share, with the translations of pages and printed reports."""

from dataclasses import dataclass
from datetime import date
from gettext import NullTranslations
from pathlib import Path
from typing import Self

from typing_extensions import override

from shared_models.i18n import localizer as shared
from shared_models.i18n.catalog import catalog
from shared_models.reports.common.farm import FarmFacts
from shared_models.reports.common.references import NO_CREW, UNKNOWN_BED, UNKNOWN_CROP, UNKNOWN_PERSON
from shared_models.reports.pace.rates import UNKNOWN_SPACING
from shared_models.reports.rows.rows import BED_AND_ROW, LoggedRow

FOLDER = Path(__file__).parent / "locale"
#: what reports call that whose record has not arrived
UNKNOWN = (UNKNOWN_BED, UNKNOWN_CROP, UNKNOWN_PERSON, NO_CREW, UNKNOWN_SPACING)


@dataclass(frozen=True, slots=True)
class Localizer(shared.Localizer):
    """Texts and figures on the office's pages and in its reports."""

    @classmethod
    def of(cls, farm: FarmFacts, language: str = "en") -> Self:
        return cls(language, farm.units, farm.zone)

    @override
    def catalog(self) -> NullTranslations:
        return catalog(FOLDER, self.language)

    def name(self, label: str) -> str:
        """What people have named stays as it is; what stands for an unknown name is translated."""
        for unknown in UNKNOWN:
            if unknown in label:
                label = label.replace(unknown, self.t(unknown))
        return label

    def row(self, row: LoggedRow) -> str:
        text = self.t(BED_AND_ROW).replace(" {row}", "\N{NO-BREAK SPACE}{row}")
        return text.format(bed=self.name(row.place.bed), row=row.row)

    def date_range(self, first: date | None, last: date | None) -> str:
        if first is None or last is None or first == last:
            return self.date(first or last)
        return self.t("{low} to {high}", low=self.date(first), high=self.date(last))

    def percent_range(self, low: float, high: float, digits: int = 1) -> str:
        return self.t("{low} to {high}", low=self.percent(low, digits), high=self.percent(high, digits))
