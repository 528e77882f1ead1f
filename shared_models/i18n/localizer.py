"""How people are talked to, on the phone and in the office alike: their language, the farm's units, the farm's clock.

English texts are the keys of a catalogue. Each program brings its own.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta, tzinfo
from gettext import NullTranslations

from shared_models.core.moments import on_clock
from shared_models.core.units import MM_PER_FOOT, MM_PER_METRE, mm_to_feet, mm_to_inches
from shared_models.core.vocabulary import LengthUnits
from shared_models.lazy import LazyMessage

NEAR_DAYS = {-1: "yesterday", 0: "today", 1: "tomorrow"}
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_S_PER_MINUTE, _S_PER_HOUR = 60, 3600
_WHOLE_FROM = 10
#: of numbers in messages
_VALUE_DECIMALS = 3
_HOURS_UNTIL = 48


@dataclass(frozen=True, slots=True)
class Conventions:
    """How a language calls itself, and how it writes numbers, days and the time of day."""

    name: str
    point: str
    thousands: str
    day_first: bool
    clock_24h: bool


LANGUAGES = {
    "en": Conventions("English", point=".", thousands=",", day_first=False, clock_24h=False),
    "es": Conventions("Español", point=",", thousands="\N{NO-BREAK SPACE}", day_first=True, clock_24h=True),
}


@dataclass(frozen=True, slots=True)
class Localizer:
    """One way to talk. `zone` is the farm's. Without a catalogue of its own, it talks English."""

    language: str = "en"
    units: LengthUnits = LengthUnits.FEET
    zone: tzinfo = UTC
    _texts: NullTranslations = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_texts", self.catalogue())

    def catalogue(self) -> NullTranslations:
        """Where its texts come from."""
        return NullTranslations()

    # texts

    def t(self, text: str, /, **filled: object) -> str:
        """A text in the person's language, its gaps filled."""
        told = self._texts.gettext(text) if text else ""
        return told.format(**filled) if filled else told

    def t_lazy(self, text: str) -> str:
        """A message in the person's language, with its values; a plain text is looked up as it stands."""
        if not isinstance(text, LazyMessage):
            return self.t(text)
        return self.t(text.template, **{name: self._value(value) for name, value in text.values.items()})

    def _value(self, value: object) -> object:
        if isinstance(value, tuple):
            return "; ".join(str(self._value(each)) for each in value)
        if isinstance(value, LazyMessage):
            return self.t_lazy(value)
        return self.number(value, _VALUE_DECIMALS) if isinstance(value, int | float) else value

    def tn(self, one: str, many: str, n: int, **filled: object) -> str:
        """A text for one, or for `n`."""
        return self._texts.ngettext(one, many, n).format(n=self.number(n), **filled)

    def people(self, names: Iterable[str]) -> str:
        """A crew by name."""
        return ", ".join(names) or self.t("no crew entered")

    @property
    def conventions(self) -> Conventions:
        """How this language writes."""
        return LANGUAGES[self.language]

    # numbers

    @property
    def feet(self) -> bool:
        """Whether people here say feet and inches."""
        return self.units is LengthUnits.FEET

    def number(self, value: float, decimals: int = 0) -> str:
        """A number; minus is a minus sign, and no zeros stand at its end."""
        whole, _, part = f"{abs(value):,.{decimals}f}".partition(".")
        part = part.rstrip("0")
        sign = "−" if value < 0 and (part or whole != "0") else ""
        whole = whole.replace(",", self.conventions.thousands)
        return sign + (f"{whole}{self.conventions.point}{part}" if part else whole)

    def share(self, value: float) -> str:
        """A share of one in percent. What is not all of it never reads as all."""
        percent = round(value * 100)
        if value < 1 and percent == 100:  # noqa: PLR2004 - percent
            return self.t("{n}%", n=self.number(int(value * 1000) / 10, 1))
        return self.t("{n}%", n=self.number(percent))

    # lengths

    def length(self, mm: float) -> str:
        """A length of bed or row."""
        if self.feet:
            feet = mm_to_feet(mm)
            return self.t("{n} ft", n=self.number(feet, 0 if feet >= _WHOLE_FROM else 1))
        return self.t("{n} m", n=self.number(mm / 1000, 1))

    def spacing(self, mm: float) -> str:
        """A spacing in the row."""
        if self.feet:
            return self.t("{n} in", n=self.number(mm_to_inches(mm), 1))
        return self.t("{n} cm", n=self.number(mm / 10, 1))

    def rate(self, mm_per_h: float | None) -> str:
        """Row length an hour."""
        return self.t("{n} ft/h" if self.feet else "{n} m/h", n=self.rate_figure(mm_per_h))

    def rate_figure(self, mm_per_h: float | None) -> str:
        """Row length an hour, where its unit stands beside it."""
        unit_mm = MM_PER_FOOT if self.feet else MM_PER_METRE
        return self.figure(None if mm_per_h is None else mm_per_h / unit_mm)

    def figure(self, value: float | None) -> str:
        """A whole number, or that there is none."""
        return "–" if value is None else self.number(value)

    # times

    def local(self, at: datetime) -> datetime:
        """A moment on the farm's clock."""
        return on_clock(at, self.zone)

    def clock(self, at: datetime) -> str:
        """The time of day."""
        local = self.local(at)
        if self.conventions.clock_24h:
            return f"{local.hour}:{local.minute:02}"
        return f"{local.hour % 12 or 12}:{local.minute:02} {'am' if local.hour < 12 else 'pm'}"  # noqa: PLR2004 - noon

    def day(self, day: date, today: date) -> str:
        """A day as people call it, with its year where that is another one."""
        near = NEAR_DAYS.get((day - today).days)
        if near:
            return self.t(near)
        if day.year == today.year:
            return self.date(day)
        return f"{self.date(day)} {day.year}" if self.conventions.day_first else f"{self.date(day)}, {day.year}"

    def day_by_itself(self, day: date, today: date) -> str:
        """A day as people call it, where it begins a line."""
        told = self.day(day, today)
        return told[:1].upper() + told[1:]

    def date(self, day: date) -> str:
        """A day of the calendar."""
        month = self.t(MONTHS[day.month - 1])
        return f"{day.day} {month}" if self.conventions.day_first else f"{month} {day.day}"

    def moment(self, at: datetime, now: datetime) -> str:
        """A day and time of day; today's day goes without saying."""
        day, today = self.local(at).date(), self.local(now).date()
        return self.clock(at) if day == today else f"{self.day(day, today)}, {self.clock(at)}"

    def stopwatch(self, seconds: float) -> str:
        """A running or finished time: minutes and seconds, hours before them where there are any."""
        whole = max(0, int(seconds))
        hours, rest = divmod(whole, _S_PER_HOUR)
        minutes, left = divmod(rest, _S_PER_MINUTE)
        return f"{hours}:{minutes:02}:{left:02}" if hours else f"{minutes}:{left:02}"

    def span(self, hours: float) -> str:
        """About how long, in hours, or in days when it is long."""
        if hours < _HOURS_UNTIL:
            return self.tn("{n} hour", "{n} hours", max(1, round(hours)))
        return self.tn("{n} day", "{n} days", round(timedelta(hours=hours) / timedelta(days=1)))
