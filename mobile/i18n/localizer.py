"""How the app talks. Every text on a screen comes from here.

English texts are the keys of the catalogue; `words.py` beside the presenters has those that stand for stored words.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from gettext import NullTranslations

from mobile.i18n.catalog import catalogue
from shared_models.i18n import localizer as shared

_S_PER_MINUTE, _S_PER_HOUR = 60, 3600
#: from here on nobody asks for the seconds
_WHOLE_MINUTES_FROM_S = 600


@dataclass(frozen=True, slots=True)
class Localizer(shared.Localizer):
    """One way to talk, with the app's own catalogue."""

    def catalogue(self) -> NullTranslations:
        """The app's texts in this language."""
        return catalogue(self.language)

    def took(self, seconds: float) -> str:
        """How long something took, with its units: a stopwatch's figures beside a time of day read as another one."""
        whole = max(0, int(seconds))
        if whole >= _WHOLE_MINUTES_FROM_S:
            whole = round(whole / _S_PER_MINUTE) * _S_PER_MINUTE
        hours, rest = divmod(whole, _S_PER_HOUR)
        minutes, left = divmod(rest, _S_PER_MINUTE)
        told = [self.t("{n} h", n=hours)] if hours else []
        told += [self.t("{n} min", n=minutes)] if minutes else []
        told += [self.t("{n} s", n=left)] if left or not whole else []
        return " ".join(told)

    def crew(self, names: Sequence[str], letters: int) -> str:
        """A crew by name, as far as its names fit; then how many more they are."""
        fit = next(n for n in range(len(names), 0, -1) if n == 1 or len(", ".join(names[:n])) <= letters)
        told = self.people(names[:fit])
        more = len(names) - fit
        return self.t("{names} and {n} more", names=told, n=more) if more else told
