"""How figures are rounded and written."""

import pytest

from shared_models.i18n import formats
from shared_models.i18n.conventions import conventions

US, SPAIN = conventions("en"), conventions("es", "ES")


@pytest.mark.parametrize(
    ("share", "digits", "text"),
    [
        (0.95, 1, "95.0%"),
        (0.9999, 1, "99.9%"),
        (0.999, 0, "99.9%"),
        (0.99999, 2, "99.99%"),
        (1.0, 1, "100.0%"),
        (1.0, 0, "100%"),
        (1.5, 0, "150%"),
        (None, 1, "–"),
        (0.0, 0, "0%"),
    ],
)
def test_a_share_is_never_rounded_up_to_all(share: float | None, digits: int, text: str) -> None:
    assert formats.percent(share, US, digits) == text


@pytest.mark.parametrize(("value", "text"), [(3.0, "3"), (2.5, "2.5"), (1234.04, "1,234"), (1234.06, "1,234.1")])
def test_trimmed_a_tenth_stands_where_there_is_one(value: float, text: str) -> None:
    assert formats.number(value, US, 1, trim=True) == text


@pytest.mark.parametrize(
    ("value", "digits", "english", "spanish"),
    [(None, 1, "–", "–"), (1234.5, 1, "1,234.5", "1.234,5"), (-3.0, 1, "−3.0", "−3,0"), (-0.01, 1, "0.0", "0,0")],
)
def test_all_decimals_stand_where_columns_line_up(value: float | None, digits: int, english: str, spanish: str) -> None:
    assert (formats.number(value, US, digits), formats.number(value, SPAIN, digits)) == (english, spanish)
