"""How figures are said: rounding, units, and nothing rounded up to all."""

from __future__ import annotations

import pytest

from shared_models.core.vocabulary import LengthUnits
from shared_models.i18n import formats


@pytest.mark.parametrize(
    ("share", "digits", "told"),
    [
        (0.95, 1, "95.0 %"),
        (0.9999, 1, "99.9 %"),
        (0.999, 0, "99 %"),
        (1.0, 1, "100.0 %"),
        (None, 1, "–"),
        (0.0, 0, "0 %"),
    ],
)
def test_a_share_is_never_rounded_up_to_all(share: float | None, digits: int, told: str) -> None:
    assert formats.percent(share, digits).replace("\N{NO-BREAK SPACE}", " ") == told


@pytest.mark.parametrize(("value", "told"), [(3.0, "3"), (2.5, "2.5"), (1234.04, "1,234"), (1234.06, "1,234.1")])
def test_a_tenth_is_said_where_there_is_one(value: float, told: str) -> None:
    assert formats.short(value) == told


def test_spacings_are_said_in_inches_or_centimetres() -> None:
    assert formats.spacing(50.8, LengthUnits.FEET) == "2 in"
    assert formats.spacing(50.8, LengthUnits.METRES) == "5.1 cm"


def test_lengths_are_turned_but_not_rounded() -> None:
    assert formats.in_farm_units(1000, LengthUnits.FEET) == pytest.approx(3.280839895)
    assert formats.in_farm_units(1234, LengthUnits.METRES) == 1.234
    assert formats.in_farm_units(None, LengthUnits.FEET) is None
