"""What one person reads: texts in their language, figures in the farm's units, times on the farm's clock.

English texts are the keys of a catalog; each program brings its own. Marks and patterns are the farm's country's.
"""

import datetime as dt  # `date` is a method here
from collections.abc import Iterable
from dataclasses import dataclass, field
from gettext import NullTranslations
from typing import overload

from shared_models.core.moments import on_clock
from shared_models.core.units import MM_PER_FOOT, MM_PER_METRE, mm_to_feet, mm_to_inches
from shared_models.core.vocabulary import LengthUnits
from shared_models.i18n import formats
from shared_models.i18n.conventions import Conventions, conventions, country_of
from shared_models.lazy_message import LazyMessage

NEAR_DAYS = {-1: "yesterday", 0: "today", 1: "tomorrow"}
_MM_PER_CM = 10
_S_PER_MINUTE, _S_PER_HOUR = 60, 3600
_WHOLE_FROM_FEET = 10
#: of numbers in messages
_VALUE_DECIMALS = 3
_HOURS_UNTIL = 48


@dataclass(frozen=True, slots=True)
class Localizer:
    """Texts, figures and times for a language, units of length and the farm's time zone."""

    language: str = "en"
    units: LengthUnits = LengthUnits.FEET
    zone: dt.tzinfo = dt.UTC
    _texts: NullTranslations = field(init=False, repr=False, compare=False)
    conventions: Conventions = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_texts", self.catalog())
        object.__setattr__(self, "conventions", conventions(self.language, country_of(self.zone)))

    def catalog(self) -> NullTranslations:
        """The translations of a program; without any, texts stay English."""
        return NullTranslations()

    # texts

    def t(self, text: str, /, **values: object) -> str:
        """A text in the person's language, its gaps filled."""
        translated = self._texts.gettext(text) if text else ""
        return _one_period(translated.format(**values)) if values else translated

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

    def tn(self, one: str, many: str, n: int, **values: object) -> str:
        """A text for one, or for `n`."""
        return _one_period(self._texts.ngettext(one, many, n).format(n=self.number(n), **values))

    def people(self, names: Iterable[str]) -> str:
        return ", ".join(names) or self.t("no crew entered")

    # numbers

    def number(self, value: float, digits: int = 0) -> str:
        """Without zeros at the end of its decimals."""
        return formats.number(value, self.conventions, digits, trim=True)

    def fixed(self, value: float | None, digits: int = 0) -> str:
        """A number with all its decimals, so that columns line up; a dash where there is none."""
        return formats.number(value, self.conventions, digits)

    def percent(self, share: float | None, digits: int = 0, *, trim: bool = False) -> str:
        """A share of one as a percentage. What is not all of it never reads as 100%."""
        return formats.percent(share, self.conventions, digits, trim=trim)

    # lengths

    @property
    def feet(self) -> bool:
        return self.units is LengthUnits.FEET

    @property
    def unit(self) -> str:
        return self.t("ft" if self.feet else "m")

    @overload
    def in_units(self, mm: float) -> float: ...

    @overload
    def in_units(self, mm: float | None) -> float | None: ...

    def in_units(self, mm: float | None) -> float | None:
        """A length, or a length an hour, in feet or metres and not rounded."""
        return None if mm is None else mm / (MM_PER_FOOT if self.feet else MM_PER_METRE)

    def length(self, mm: float) -> str:
        if self.feet:
            feet = mm_to_feet(mm)
            return self.t("{n} ft", n=self.number(feet, 0 if feet >= _WHOLE_FROM_FEET else 1))
        return self.t("{n} m", n=self.number(mm / MM_PER_METRE, 1))

    def length_figure(self, mm: float | None, digits: int = 0) -> str:
        """A length, or a length an hour, where its unit stands beside it."""
        return self.fixed(self.in_units(mm), digits)

    def spacing(self, mm: float) -> str:
        if self.feet:
            return self.t("{n} in", n=self.number(mm_to_inches(mm), 1))
        return self.t("{n} cm", n=self.number(mm / _MM_PER_CM, 1))

    def rate(self, mm_per_h: float | None) -> str:
        return self.t("{n} ft/h" if self.feet else "{n} m/h", n=self.length_figure(mm_per_h))

    # days and times of day

    def local(self, at: dt.datetime) -> dt.datetime:
        """A moment on the farm's clock."""
        return on_clock(at, self.zone)

    def clock(self, at: dt.datetime | dt.time, *, seconds: bool = False) -> str:
        """The time of day; a bare time is on the farm's clock already."""
        pattern = self.conventions.time_with_seconds if seconds else self.conventions.time
        return formats.by_pattern(pattern, at if isinstance(at, dt.time) else self.local(at), self.conventions)

    def month_day(self, day: dt.date) -> str:
        """A day of this year, without the year."""
        return formats.by_pattern(self.conventions.month_day, day, self.conventions)

    def date(self, day: dt.date | None) -> str:
        return formats.NO_VALUE if day is None else formats.by_pattern(self.conventions.date, day, self.conventions)

    def full_date(self, day: dt.date) -> str:
        """A day with its weekday, as a heading."""
        return formats.by_pattern(self.conventions.full_date, day, self.conventions)

    def date_time(self, at: dt.datetime, *, seconds: bool = False) -> str:
        return f"{self.date(self.local(at).date())}, {self.clock(at, seconds=seconds)}"

    def day(self, day: dt.date, today: dt.date) -> str:
        """A day as people call it near today; its year only where it is another one."""
        near = NEAR_DAYS.get((day - today).days)
        if near:
            return self.t(near)
        return self.month_day(day) if day.year == today.year else self.date(day)

    def day_by_itself(self, day: dt.date, today: dt.date) -> str:
        """The same where it begins a line."""
        text = self.day(day, today)
        return text[:1].upper() + text[1:]

    def moment(self, at: dt.datetime, now: dt.datetime) -> str:
        """A time of day, with the day where that is not today."""
        day, today = self.local(at).date(), self.local(now).date()
        return self.clock(at) if day == today else f"{self.day(day, today)}, {self.clock(at)}"

    # durations

    def minutes(self, seconds: float, digits: int = 1) -> str:
        """A duration in minutes, where the unit stands beside it."""
        return self.fixed(seconds / _S_PER_MINUTE, digits)

    def stopwatch(self, seconds: float) -> str:
        """A running duration: minutes and seconds, with hours before them where there are any."""
        hours, minutes, rest = _split(seconds)
        return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"

    def duration(self, seconds: float) -> str:
        """A finished duration with its units; seconds only below ten minutes."""
        whole = round(seconds / _S_PER_MINUTE) * _S_PER_MINUTE if seconds >= 10 * _S_PER_MINUTE else seconds
        hours, minutes, rest = _split(whole)
        parts = [self.t("{n} h", n=hours)] if hours else []
        parts += [self.t("{n} min", n=minutes)] if minutes else []
        parts += [self.t("{n} s", n=rest)] if rest or not parts else []
        return " ".join(parts)

    def span(self, hours: float) -> str:
        """About how long, in hours, or in days when it is long."""
        if hours < _HOURS_UNTIL:
            return self.tn("{n} hour", "{n} hours", max(1, round(hours)))
        return self.tn("{n} day", "{n} days", round(dt.timedelta(hours=hours) / dt.timedelta(days=1)))


def _split(seconds: float) -> tuple[int, int, int]:
    """Hours, minutes and seconds; 0 for a negative duration."""
    minutes, rest = divmod(max(0, int(seconds)), _S_PER_MINUTE)
    return minutes // 60, minutes % 60, rest


def _one_period(sentence: str) -> str:
    """A sentence that ends with "p.m." has one period."""
    return sentence.replace(".m..", ".m.")
