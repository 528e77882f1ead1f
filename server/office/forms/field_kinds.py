"""The ways a field is filled in: how its value stands in an input, how it is said, what is kept of what was typed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from server.office.forms.names import RecordNames
from server.office.forms.parse_lengths import MM_PER_CM, length_mm
from server.office.forms.parse_numbers import FieldError, number_in, without_unit
from server.office.shell.view import Choice
from server.render.localizer import Localizer
from shared_models.core.units import (
    MM_PER_FOOT,
    MM_PER_INCH,
    MM_PER_METRE,
    celsius_to_fahrenheit,
    fahrenheit_to_celsius,
)

YES, NO = "yes", "no"
_MOST_DECIMALS, _EVEN = 4, 9


class FieldKind:
    """One way to fill in. A way says what it overrides; the rest is as for a line of text."""

    control = "text"
    inputmode = "text"

    def text(self, value: Any, words: RecordNames) -> str:  # noqa: ARG002 - for those that override it
        """The value as it stands in the input; what is none of its kind raises ValueError, TypeError or the like."""
        return str(value)

    def said(self, value: Any, words: RecordNames) -> str:
        """The value as people read it."""
        unit = self.unit(words)
        return f"{self.text(value, words)} {unit}" if unit else self.text(value, words)

    def read(self, typed: str, words: RecordNames) -> Any:
        """What is kept of text that is not empty.

        Raises:
            UnfitError: when it cannot be kept.
        """
        raise NotImplementedError

    def choices(self, value: Any, words: RecordNames) -> Iterable[Choice]:  # noqa: ARG002 - for those that override it
        """What there is to choose from."""
        return ()

    def unit(self, words: RecordNames) -> str:  # noqa: ARG002 - for those that override it
        """What stands beside the input."""
        return ""


@dataclass(frozen=True, slots=True)
class Written(FieldKind):
    """Words that are typed."""

    longest: int = 120

    @property
    def control(self) -> str:  # type: ignore[override]  # asked of the instance
        """Long texts get more than a line."""
        return "text" if self.longest <= 120 else "area"  # noqa: PLR2004 - as long as a name may be

    def said(self, value: Any, words: RecordNames) -> str:  # noqa: ARG002 - as every way has it
        """As it is."""
        return str(value)

    def read(self, typed: str, words: RecordNames) -> Any:
        """As it is, if it is not too long."""
        if len(typed) > self.longest:
            raise FieldError(words.localizer.t("write at most {n} letters", n=words.localizer.number(self.longest)))
        return typed


@dataclass(frozen=True, slots=True)
class Counted(FieldKind):
    """A whole number."""

    lowest: int = 0
    highest: int = 1_000_000
    inputmode = "numeric"

    def text(self, value: Any, words: RecordNames) -> str:  # noqa: ARG002 - as every way has it
        """In figures."""
        return str(int(value))

    def read(self, typed: str, words: RecordNames) -> Any:
        """A whole number within its bounds."""
        number = number_in(typed, words.localizer)
        if number != int(number):
            raise FieldError(words.localizer.t("write a whole number"))
        return int(_within(number, self.lowest, self.highest, words.localizer))


@dataclass(frozen=True, slots=True)
class Figure(FieldKind):
    """A number as it is stored: a share in percent, degrees of latitude, metres, money. `of_one` is kept as a share."""

    lowest: float
    highest: float
    sign: str = ""
    of_one: bool = False
    inputmode = "decimal"

    def text(self, value: Any, words: RecordNames) -> str:
        """In figures."""
        return _figure(round(value * (100 if self.of_one else 1), _EVEN), words.localizer)

    def read(self, typed: str, words: RecordNames) -> Any:
        """A number within its bounds."""
        told = without_unit(typed, self.sign)
        number = _within(number_in(told, words.localizer), self.lowest, self.highest, words.localizer)
        return round(number / 100, _EVEN) if self.of_one else number

    def unit(self, words: RecordNames) -> str:  # noqa: ARG002 - as every way has it
        """Its sign."""
        return self.sign


class Money(Figure):
    """In the farm's money; the sign that somebody writes beside it says nothing more."""

    def read(self, typed: str, words: RecordNames) -> Any:
        """The number alone."""
        return super().read(typed.strip().strip("$€£ "), words)


@dataclass(frozen=True, slots=True)
class Measured(FieldKind):
    """A length or a depth of water, in the farm's units; `whole` where it is stored in whole millimetres."""

    feet: tuple[str, float]
    metres: tuple[str, float]
    most_mm: float
    whole: bool = True
    or_nothing: bool = False
    inputmode = "decimal"

    def unit(self, words: RecordNames) -> str:
        """The unit that people here say."""
        return words.localizer.t((self.feet if words.localizer.feet else self.metres)[0])

    def _size(self, words: RecordNames) -> float:
        return (self.feet if words.localizer.feet else self.metres)[1]

    def text(self, value: Any, words: RecordNames) -> str:
        """With no more decimals than it takes to mean this length."""
        size = self._size(words)
        for decimals in range(_MOST_DECIMALS):
            told = round(value / size, decimals)
            kept = round(told * size) if self.whole else told * size
            if abs(kept - value) < (0.5 if self.whole else 1e-6):
                return _figure(told, words.localizer)
        return _figure(round(value / size, _MOST_DECIMALS), words.localizer)

    def read(self, typed: str, words: RecordNames) -> Any:
        """In millimetres."""
        localizer, size = words.localizer, self._size(words)
        length = length_mm(typed, size, localizer)
        mm = round(length) if self.whole else round(length, _EVEN)
        if mm < 0 or mm > self.most_mm or (mm == 0 and not self.or_nothing):
            most = localizer.number(self.most_mm // size)
            if self.or_nothing:
                raise FieldError(localizer.t("write a number from {low} to {high}", low="0", high=most))
            raise FieldError(localizer.t("write a number above 0, and {high} at most", high=most))
        return mm


class Warmth(FieldKind):
    """A temperature, stored in °C."""

    inputmode = "decimal"

    def unit(self, words: RecordNames) -> str:
        """The degrees that people here say."""
        return "°F" if words.localizer.feet else "°C"

    def text(self, value: Any, words: RecordNames) -> str:
        """To a tenth."""
        return _figure(round(celsius_to_fahrenheit(value) if words.localizer.feet else value, 1), words.localizer)

    def read(self, typed: str, words: RecordNames) -> Any:
        """In °C."""
        feet = words.localizer.feet
        low, high = (-130, 158) if feet else (-90, 70)
        told = without_unit(typed, self.unit(words), self.unit(words)[-1])
        number = _within(number_in(told, words.localizer), low, high, words.localizer)
        return round(fahrenheit_to_celsius(number), 4) if feet else number


@dataclass(frozen=True, slots=True)
class Chosen(FieldKind):
    """One of the trade's words."""

    words: Mapping[Any, str]
    control = "select"

    def said(self, value: Any, words: RecordNames) -> str:
        """As it is called."""
        return words.localizer.t(self.words[value])

    def choices(self, value: Any, words: RecordNames) -> Iterable[Choice]:
        """Each of them."""
        return (Choice(str(word), words.localizer.t(text), word == value) for word, text in self.words.items())

    def read(self, typed: str, words: RecordNames) -> Any:
        """One of them."""
        if typed not in {str(word) for word in self.words}:
            raise FieldError(words.localizer.t("choose one of the list"))
        return typed


class YesNo(FieldKind):
    """Yes or no."""

    control = "select"

    def text(self, value: Any, words: RecordNames) -> str:  # noqa: ARG002 - as every way has it
        """One of two."""
        return YES if value else NO

    def said(self, value: Any, words: RecordNames) -> str:
        """Yes, or no."""
        return words.localizer.t("yes" if value else "no")

    def choices(self, value: Any, words: RecordNames) -> Iterable[Choice]:
        """Both."""
        yes, no = words.localizer.t("yes"), words.localizer.t("no")
        return (Choice(YES, yes, value is True), Choice(NO, no, value is False))

    def read(self, typed: str, words: RecordNames) -> Any:
        """True or false."""
        if typed not in (YES, NO):
            raise FieldError(words.localizer.t("choose one of the list"))
        return typed == YES


def _within(number: float, lowest: float, highest: float, localizer: Localizer) -> float:
    if not lowest <= number <= highest:
        low, high = localizer.number(lowest, 1), localizer.number(highest, 1)
        raise FieldError(localizer.t("write a number from {low} to {high}", low=low, high=high))
    return number


def _figure(value: float, localizer: Localizer) -> str:
    """In figures that can be typed again: no mark between thousands."""
    told = f"{value:.{_EVEN}f}".rstrip("0").rstrip(".")
    return told.replace(".", localizer.conventions.point)


LENGTH = Measured(("ft", MM_PER_FOOT), ("m", MM_PER_METRE), 10_000_000)
WIDTH = Measured(("in", MM_PER_INCH), ("cm", MM_PER_CM), 10_000_000)
DEPTH = Measured(("in", MM_PER_INCH), ("mm", 1.0), 10_000_000)
SPACING = Measured(("in", MM_PER_INCH), ("cm", MM_PER_CM), 10_000, whole=False)
WATER = Measured(("in", MM_PER_INCH), ("mm", 1.0), 2_000, whole=False, or_nothing=True)
PERCENT = Figure(0, 100, "%")
SHARE = Figure(0, 100, "%", of_one=True)
MONEY = Money(0, 1_000_000_000)
