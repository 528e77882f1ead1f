"""A length as people write it: a number in the unit of its field, or with units of its own (30 m, 100 ft 6 in)."""

import re
from collections.abc import Iterator, Mapping

from server.office.forms.parse_numbers import FieldError, number_in
from server.render.localizer import Localizer
from shared_models.core.units import MM_PER_FOOT, MM_PER_INCH, MM_PER_METRE
from shared_models.fields.quantities import MM_PER_CM

#: how each unit is written, in either language
_WRITTEN: Mapping[float, str] = {
    MM_PER_FOOT: "ft foot feet pie pies ' \N{RIGHT SINGLE QUOTATION MARK} \N{PRIME}",
    MM_PER_INCH: "in inch inches pulg pulgada pulgadas \" '' \N{RIGHT DOUBLE QUOTATION MARK} \N{DOUBLE PRIME}",
    MM_PER_METRE: "m metre metres meter meters metro metros",
    MM_PER_CM: "cm",
    1.0: "mm",
}
_SIZES = {name: size for size, names in _WRITTEN.items() for name in names.split()}
_PLAIN = re.compile(r"[-\N{MINUS SIGN}\d.,\s]*")
_PART = re.compile(
    r"\s*(?P<number>-?\d[\d.,]*(?![\d/]))?"
    r"\s*(?:(?P<over>\d{1,3})/(?P<under>[1-9]\d{,2}))?"
    r"\s*(?P<unit>[^\W\d_]+|['\"’”′″]{1,2})?\.?"
)


def length_mm(typed: str, size: float, localizer: Localizer) -> float:
    """A length in millimeters. `size` is the unit where none is written; what follows feet without one is in inches.

    Raises:
        FieldError: when it is none.
    """
    if _PLAIN.fullmatch(typed):
        return number_in(typed, localizer) * size
    parts = list(_parts(typed.strip().casefold(), size, localizer))
    sizes = [each for _, each in parts]
    if len(parts) > 1 and sizes != [MM_PER_FOOT, MM_PER_INCH]:
        raise _unfit(localizer)
    return sum(number * each for number, each in parts)


def _parts(text: str, size: float, localizer: Localizer) -> Iterator[tuple[float, float]]:
    place = 0
    while place < len(text):
        found = _PART.match(text, place)
        if found is None or not (found["number"] or found["over"]):
            raise _unfit(localizer)
        unit = found["unit"]
        if unit and unit not in _SIZES:
            raise _unfit(localizer)
        number = number_in(found["number"], localizer) if found["number"] else 0.0
        if found["over"]:
            number += int(found["over"]) / int(found["under"])
        yield number, _SIZES[unit] if unit else size
        place = found.end()
        if unit and _SIZES[unit] == MM_PER_FOOT:
            size = MM_PER_INCH


def _unfit(localizer: Localizer) -> FieldError:
    return FieldError(localizer.t("enter a number"))
