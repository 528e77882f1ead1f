"""The phone's localizer: what both programs share, with the app's own translations."""

from collections.abc import Sequence
from dataclasses import dataclass
from gettext import NullTranslations
from pathlib import Path

from typing_extensions import override

from shared_models.i18n import localizer as shared
from shared_models.i18n.catalog import catalog

FOLDER = Path(__file__).parent / "locale"


@dataclass(frozen=True, slots=True)
class Localizer(shared.Localizer):
    """Texts and figures on the phone's screens."""

    @override
    def catalog(self) -> NullTranslations:
        return catalog(FOLDER, self.language)

    def crew(self, names: Sequence[str], letters: int) -> str:
        """A crew by name, as far as its names fit; then how many more they are."""
        fit = next(n for n in range(len(names), 0, -1) if n == 1 or len(", ".join(names[:n])) <= letters)
        shown = self.people(names[:fit])
        more = len(names) - fit
        return self.t("{names} and {n} more", names=shown, n=more) if more else shown
