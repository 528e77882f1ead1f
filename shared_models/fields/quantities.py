"""Quantities: the unit that people use for a stored number, by the farm's units, and the conversion both ways."""

from dataclasses import dataclass
from math import ceil, floor

from shared_models.core.units import MM_PER_FOOT, MM_PER_INCH, MM_PER_METRE
from shared_models.i18n.localizer import Localizer

MM_PER_CM = 10.0
_SHORTEST, _LONGEST = 4, 9
_CLOSE = 1e-6
_WHOLE_FROM = 10


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: stored = `size` × number + `zero`. Values are read out to `decimals`."""

    name: str = ""
    size: float = 1
    zero: float = 0
    decimals: int = 1


@dataclass(frozen=True, slots=True)
class Quantity:
    """What a number measures. `whole` ones are stored as integers, others to `places` decimals."""

    feet: Unit
    metres: Unit
    whole: bool = False
    places: int = 9
    is_length: bool = False

    def unit(self, localizer: Localizer) -> Unit:
        return self.feet if localizer.feet else self.metres

    def unit_name(self, localizer: Localizer) -> str:
        name = self.unit(localizer).name
        return localizer.t(name) if self.is_length else name

    def shown(self, stored: float, localizer: Localizer) -> float:
        """The shortest number in the farm's unit that is stored as this value: 1.25 in for 32 mm."""
        unit = self.unit(localizer)
        exact = (stored - unit.zero) / unit.size
        quarter = round(4 * exact) / 4
        for number in (round(exact), round(exact, 1), quarter, *(round(exact, n) for n in range(2, _SHORTEST + 1))):
            if abs(self.stored(number, localizer) - stored) < _CLOSE:
                return number
        return round(exact, _LONGEST if unit.size in (1, 0.01) else 1 if unit.zero else _SHORTEST)

    def stored(self, number: float, localizer: Localizer) -> float:
        """The value to store for a number in the farm's unit."""
        unit = self.unit(localizer)
        value = number * unit.size + unit.zero
        return round(value) if self.whole else round(value, self.places)

    def shown_bounds(self, low: float, high: float, localizer: Localizer) -> tuple[float, float]:
        """Stored bounds in the farm's unit, rounded to the inside: high to a whole number from 10 on, else to 0.1."""
        unit = self.unit(localizer)
        least, most = (round((bound - unit.zero) / unit.size, 6) for bound in (low, high))
        return ceil(10 * least) / 10, floor(most) if most >= _WHOLE_FROM else floor(10 * most) / 10

    def format(self, stored: float, localizer: Localizer) -> str:
        return self.with_unit(self.shown(stored, localizer), self.unit(localizer).decimals, localizer)

    def with_unit(self, number: float, decimals: int, localizer: Localizer) -> str:
        """A number of the farm's unit, and the unit."""
        if self.unit(localizer).name == "%":
            return localizer.percent(number / 100, decimals, trim=True)
        return f"{localizer.number(number, decimals)} {self.unit_name(localizer)}".rstrip()


def plain(unit: str = "", size: float = 1) -> Quantity:
    """A quantity whose unit is the same everywhere."""
    return Quantity(Unit(unit, size), Unit(unit, size))


def length(feet: Unit, metres: Unit, *, whole: bool = True) -> Quantity:
    """A length, stored in millimeters."""
    return Quantity(feet, metres, whole, is_length=True)


COUNT = Quantity(Unit(decimals=0), Unit(decimals=0), whole=True)
LENGTH = length(Unit("ft", MM_PER_FOOT), Unit("m", MM_PER_METRE))
WIDTH = length(Unit("in", MM_PER_INCH), Unit("cm", MM_PER_CM))
DEPTH = length(Unit("in", MM_PER_INCH, decimals=2), Unit("mm", decimals=0))
SPACING = length(Unit("in", MM_PER_INCH), Unit("cm", MM_PER_CM), whole=False)
WATER = length(Unit("in", MM_PER_INCH, decimals=2), Unit("mm"), whole=False)
PERCENT = plain("%")
#: stored as 0 to 1
SHARE = plain("%", 0.01)
MONEY = plain()
DEGREES = plain("°")
METRES = plain("m")
TEMPERATURE = Quantity(Unit("°F", 1 / 1.8, -32 / 1.8, decimals=0), Unit("°C", decimals=0), places=4)
