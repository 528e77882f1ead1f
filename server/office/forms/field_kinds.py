"""Field kinds: the text in an input, the text that people read, and the value parsed from what was typed."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from zoneinfo import available_timezones

from typing_extensions import override

from server.office.forms.names import RecordNames
from server.office.forms.parse_lengths import length_mm
from server.office.forms.parse_numbers import FieldError, number_in, without_unit
from server.office.shell.view import Choice
from server.render.localizer import Localizer
from shared_models.fields.quantities import COUNT, MONEY, SHARE, Quantity, plain

YES, NO = "yes", "no"
_ONE_LINE = 120


class FieldKind:
    """How a field is filled in; by default as a line of text."""

    control = "text"
    inputmode = "text"

    def to_text(self, value: Any, names: RecordNames) -> str:  # noqa: ARG002 - for those that override it
        """The text of the input. A value of another kind raises ValueError, TypeError or the like."""
        return str(value)

    def format(self, value: Any, names: RecordNames) -> str:
        unit = self.unit(names)
        return f"{self.to_text(value, names)} {unit}" if unit else self.to_text(value, names)

    def parse(self, typed: str, names: RecordNames) -> Any:
        """The value to store for a text that is not empty.

        Raises:
            FieldError: when there is none.
        """
        raise NotImplementedError

    def choices(self, value: Any, names: RecordNames) -> Iterable[Choice]:  # noqa: ARG002 - for those that override it
        return ()

    def unit(self, names: RecordNames) -> str:  # noqa: ARG002 - for those that override it
        return ""


@dataclass(frozen=True, slots=True)
class Written(FieldKind):
    """Text."""

    longest: int = _ONE_LINE

    @property
    def control(self) -> str:  # type: ignore[override]  # asked of the instance
        return "text" if self.longest <= _ONE_LINE else "area"

    @override
    def parse(self, typed: str, names: RecordNames) -> Any:
        if len(typed) > self.longest:
            raise FieldError(names.localizer.t("enter at most {n} letters", n=names.localizer.number(self.longest)))
        return typed


@dataclass(frozen=True, slots=True)
class Number(FieldKind):
    """A number in the farm's unit. The bounds are stored values; with `above`, `low` itself is too little."""

    quantity: Quantity
    low: float = 0
    high: float = 1_000_000
    above: bool = False

    @property
    def inputmode(self) -> str:  # type: ignore[override]  # asked of the instance
        return "numeric" if self.quantity is COUNT else "decimal"

    @override
    def unit(self, names: RecordNames) -> str:
        return self.quantity.unit_name(names.localizer)

    @override
    def to_text(self, value: Any, names: RecordNames) -> str:
        text = f"{self.quantity.shown(value, names.localizer):.9f}".rstrip("0").rstrip(".")
        return text.replace(".", names.localizer.conventions.point)

    @override
    def parse(self, typed: str, names: RecordNames) -> Any:
        localizer, unit = names.localizer, self.quantity.unit(names.localizer)
        if self.quantity.is_length:
            number = length_mm(typed, unit.size, localizer) / unit.size
        elif self.quantity is MONEY:
            number = number_in(typed.strip().strip("$€£ "), localizer)
        else:
            number = number_in(without_unit(typed, self.unit(names), unit.name, unit.name.lstrip("°")), localizer)
        if self.quantity is COUNT and number != int(number):
            raise FieldError(localizer.t("enter a whole number"))
        stored = self.quantity.stored(number, localizer)
        if not self.low <= stored <= self.high or (self.above and stored == self.low):
            raise FieldError(self._bounds(localizer))
        return stored

    def _bounds(self, localizer: Localizer) -> str:
        low, high = self.quantity.shown_bounds(self.low, self.high, localizer)
        if self.above:
            return localizer.t("enter a number above 0, {high} at most", high=localizer.number(high, 1))
        return localizer.t(
            "enter a number from {low} to {high}", low=localizer.number(low, 1), high=localizer.number(high, 1)
        )


@dataclass(frozen=True, slots=True)
class Chosen(FieldKind):
    """One of a vocabulary, by its labels."""

    labels: Mapping[Any, str]
    control = "select"

    @override
    def format(self, value: Any, names: RecordNames) -> str:
        return names.localizer.t(self.labels[value])

    @override
    def choices(self, value: Any, names: RecordNames) -> Iterable[Choice]:
        return (Choice(str(word), names.localizer.t(label), word == value) for word, label in self.labels.items())

    @override
    def parse(self, typed: str, names: RecordNames) -> Any:
        if typed not in {str(word) for word in self.labels}:
            raise FieldError(names.localizer.t("choose one from the list"))
        return typed


class YesNo(FieldKind):
    """Yes or no."""

    control = "select"

    @override
    def to_text(self, value: Any, names: RecordNames) -> str:
        return YES if value else NO

    @override
    def format(self, value: Any, names: RecordNames) -> str:
        return names.localizer.t("yes" if value else "no")

    @override
    def choices(self, value: Any, names: RecordNames) -> Iterable[Choice]:
        yes, no = names.localizer.t("yes"), names.localizer.t("no")
        return (Choice(YES, yes, value is True), Choice(NO, no, value is False))

    @override
    def parse(self, typed: str, names: RecordNames) -> Any:
        if typed not in (YES, NO):
            raise FieldError(names.localizer.t("choose one from the list"))
        return typed == YES


class Zone(FieldKind):
    """A time zone of the IANA list."""

    control = "select"

    @override
    def choices(self, value: Any, names: RecordNames) -> Iterable[Choice]:
        return (Choice(zone, zone, zone == value) for zone in sorted({*available_timezones(), str(value or "UTC")}))

    @override
    def parse(self, typed: str, names: RecordNames) -> Any:
        if typed not in available_timezones():
            raise FieldError(names.localizer.t("choose one from the list"))
        return typed


def count(low: float = 0, high: float = 1_000_000) -> Number:
    """A whole number."""
    return Number(COUNT, low, high)


def figure(low: float, high: float, unit: str = "") -> Number:
    """A number stored as it is typed."""
    return Number(plain(unit), low, high)


def share(low: float = 0, high: float = 100) -> Number:
    """A percentage stored as a share of one."""
    return Number(SHARE, low / 100, high / 100)
