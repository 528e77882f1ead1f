"""How many days until the seedlings are up, at this soil temperature?

The table is Harrington & Minges (1954): days to emergence from half an inch deep, and the share of normal seedlings,
at nine constant temperatures. Editions differ by a day here and there (lettuce at 30 °C: 2 or 3 days).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from shared_models.core.units import fahrenheit_to_celsius
from shared_models.trade.raising.crops import crop_key
from shared_models.trade.validation import within

#: Printed as 32, 41, 50 ... 104 °F.
TABLE_TEMPERATURES_C = (0, 5, 10, 15, 20, 25, 30, 35, 40)

#: Days to emergence at each of these; NG: little or no germination; -: not tested.
_DAYS: Mapping[str, str] = MappingProxyType(
    {
        "asparagus": "NG NG 53 24 15 10 12 20 28",
        "bean, lima": "- - NG 31 18 7 7 NG -",
        "bean, snap": "NG NG NG 16 11 8 6 6 NG",
        "beet": "- 42 17 10 6 5 5 5 -",
        "cabbage": "- - 15 9 6 5 4 - -",
        "carrot": "NG 51 17 10 7 6 6 9 NG",
        "cauliflower": "- - 20 10 6 5 5 - -",
        "celery": "NG 41 16 12 7 NG NG NG -",
        "corn, sweet": "NG NG 22 12 7 4 4 3 NG",
        "cucumber": "NG NG NG 13 6 4 3 3 -",
        "eggplant": "- - - - 13 8 5 - -",
        "lettuce": "49 15 7 4 3 2 3 NG NG",
        "muskmelon": "- - - - 8 4 3 - -",
        "okra": "NG NG NG 27 17 13 7 6 7",
        "onion": "136 31 13 7 5 4 4 13 NG",
        "parsley": "- - 29 17 14 13 12 - -",
        "parsnip": "172 57 27 19 14 15 32 NG NG",
        "pea": "- 36 14 9 8 6 6 - -",
        "pepper": "NG NG NG 25 13 8 8 9 NG",
        "radish": "NG 29 11 6 4 4 3 - -",
        "spinach": "63 23 12 7 6 5 6 NG NG",
        "tomato": "NG NG 43 14 8 6 6 9 NG",
        "turnip": "NG NG 5 3 2 1 1 1 3",
        "watermelon": "- NG - - 12 5 4 3 -",
    }
)

#: Normal seedlings, %. A "-" stands where the copies show 0 beside a number of days, which cannot be.
_NORMAL_PCT: Mapping[str, str] = MappingProxyType(
    {
        "asparagus": "0 0 61 80 88 95 79 37 0",
        "bean, lima": "0 0 1 52 82 90 88 2 0",
        "bean, snap": "0 0 1 97 90 97 47 39 0",
        "beet": "0 53 72 88 90 97 89 35 0",
        "cabbage": "0 27 78 93 - 99 - 0 0",
        "carrot": "0 48 93 95 96 96 95 74 0",
        "cauliflower": "0 0 58 60 - 63 45 0 0",
        "celery": "0 72 70 40 97 65 0 0 0",
        "corn, sweet": "0 0 47 97 97 98 91 88 10",
        "cucumber": "0 0 0 95 99 99 99 99 49",
        "eggplant": "0 0 0 0 21 53 60 0 0",
        "lettuce": "98 98 98 99 99 99 12 0 0",
        "muskmelon": "0 0 0 0 38 94 90 0 0",
        "okra": "0 0 0 74 89 92 88 85 35",
        "onion": "90 98 98 98 99 97 91 73 2",
        "parsley": "0 0 63 - 69 64 50 0 0",
        "parsnip": "82 87 79 85 89 77 51 1 0",
        "pea": "0 89 94 93 93 94 86 0 0",
        "pepper": "0 0 1 70 96 98 95 70 0",
        "radish": "0 42 76 97 95 97 95 0 0",
        "spinach": "83 96 91 82 52 28 32 0 0",
        "tomato": "0 0 82 98 98 97 83 46 0",
        "turnip": "1 14 79 98 99 100 99 99 88",
        "watermelon": "0 0 0 17 94 90 92 96 0",
    }
)

#: Lowest, best from, best to, best, highest soil temperature for sprouting, °F as printed.
_RANGES_F: Mapping[str, tuple[int, int, int, int, int]] = MappingProxyType(
    {
        "onion": (35, 50, 95, 75, 95),
        "lettuce": (35, 40, 80, 75, 95),
        "spinach": (35, 45, 75, 70, 85),
        "beet": (40, 50, 85, 85, 95),
        "chard, Swiss": (40, 50, 85, 85, 95),
        "carrot": (40, 45, 85, 80, 95),
    }
)

#: Crops that are not in the table -> the nearest relative that is.
_BORROWS: Mapping[str, str] = MappingProxyType(
    {crop_key(crop): "onion" for crop in ("leek", "scallion", "onion, Welsh", "chives", "shallot")}
)

_NAMES = {crop_key(name): name for name in _DAYS}
_RANGE_NAMES = {crop_key(name): name for name in _RANGES_F}


class Basis(StrEnum):
    """What an answer rests on."""

    PRINTED = "printed"
    BETWEEN = "between_two_printed"
    LITTLE_OR_NONE = "little_or_no_germination"
    NOT_TESTED = "not_tested"
    OUTSIDE = "outside_the_table"
    UNKNOWN_CROP = "crop_not_in_the_table"


@dataclass(frozen=True, slots=True)
class Emergence:
    """Days to emergence (None when the table cannot tell: see `basis`), normal seedlings, and the row it came from.

    `borrowed` marks a relative's figures: a leek read from the onion row.
    """

    days: float | None
    normal_share: float | None
    basis: Basis
    table_row: str | None
    borrowed: bool


@dataclass(frozen=True, slots=True)
class SproutingRange:
    """Soil temperatures at which a crop sprouts at all, sprouts well, and sprouts best; `borrowed` as in Emergence."""

    lowest_c: float
    good_from_c: float
    good_to_c: float
    best_c: float
    highest_c: float
    borrowed: bool


def emergence(crop: str, soil_c: float) -> Emergence:
    """Days from sowing half an inch deep until seedlings are up, and how many of them will be normal.

    Formula: at a printed temperature the printed days; between two of them the rate 1 / days runs in a straight line
        (development per day grows about evenly with warmth), the share of normal seedlings likewise. Next to a
        temperature with little or no germination, or not tested, nothing is guessed: days are None. Leek, scallion,
        Welsh onion, chives and shallot are not in the table and borrow the onion row.
    Units: soil temperature in °C; days; proportion, 0 to 1.
    Source: J. F. Harrington & P. A. Minges (1954), Vegetable Seed Germination, California Agricultural Extension
        mimeo leaflet; days as reprinted in Knott's Handbook (1997), as quoted in UCSC, Teaching Organic Farming and
        Gardening, unit 1.3, appendix 4; percentages as quoted at highanddryfarm.com. The interpolation is ours.
    Raises: BadQuantity: when the soil temperature is not from -40 to 70 °C.
    """
    within("soil_c", soil_c, -40, 70)
    key = crop_key(crop)
    row = _NAMES.get(crop_key(_BORROWS.get(key, key)))
    borrowed = key in _BORROWS
    if row is None:
        return Emergence(None, None, Basis.UNKNOWN_CROP, None, borrowed)
    if not TABLE_TEMPERATURES_C[0] <= soil_c <= TABLE_TEMPERATURES_C[-1]:
        return Emergence(None, None, Basis.OUTSIDE, row, borrowed)
    below = max(i for i, printed_c in enumerate(TABLE_TEMPERATURES_C) if printed_c <= soil_c)
    above = min(i for i, printed_c in enumerate(TABLE_TEMPERATURES_C) if printed_c >= soil_c)
    printed = TABLE_TEMPERATURES_C
    share = 0.0 if above == below else (soil_c - printed[below]) / (printed[above] - printed[below])
    days, basis = _days(row, below, above, share)
    return Emergence(days, _normal(row, below, above, share), basis, row, borrowed)


def sprouting_range(crop: str) -> SproutingRange | None:
    """Soil temperatures between which a crop sprouts, or None when the table does not have it.

    Formula: the printed °F, as °C. Leek, scallion, Welsh onion, chives and shallot borrow the onion row.
    Units: °C.
    Source: J. F. Harrington, Soil temperature conditions for vegetable seed germination, Oregon State University
        Extension (reviewed 2024).
    """
    key = crop_key(crop)
    row = _RANGE_NAMES.get(crop_key(_BORROWS.get(key, key)))
    if row is None:
        return None
    lowest, good_from, good_to, best, highest = map(fahrenheit_to_celsius, _RANGES_F[row])
    return SproutingRange(lowest, good_from, good_to, best, highest, key in _BORROWS)


def _days(row: str, below: int, above: int, share: float) -> tuple[float | None, Basis]:
    cells = _DAYS[row].split()
    ends = (cells[below], cells[above])
    if "NG" in ends:
        return None, Basis.LITTLE_OR_NONE
    if "-" in ends:
        return None, Basis.NOT_TESTED
    if below == above:
        return float(ends[0]), Basis.PRINTED
    return 1 / ((1 - share) / float(ends[0]) + share / float(ends[1])), Basis.BETWEEN


def _normal(row: str, below: int, above: int, share: float) -> float | None:
    cells = _NORMAL_PCT[row].split()
    if "-" in (cells[below], cells[above]):
        return None
    return ((1 - share) * float(cells[below]) + share * float(cells[above])) / 100
