"""Days to emergence."""

import pytest

from shared_models.core.units import celsius_to_fahrenheit, fahrenheit_to_celsius
from shared_models.trade.raising.emergence import TABLE_TEMPERATURES_C, Basis, emergence, sprouting_range
from tests.published.conftest import Check

HARRINGTON = (
    "Harrington & Minges (1954), Vegetable Seed Germination, as quoted in UCSC, Teaching Organic Farming and "
    "Gardening, unit 1.3, appendix 4 (days) and at highanddryfarm.com (percentages)"
)
OSU = "Harrington, soil temperature conditions, seen at extension.oregonstate.edu (reviewed 2024)"
OSU_EDITION = OSU + ", another edition of the table"
OSU_RANGES = OSU + ", lowest, best and highest temperatures"

#: Days (normal seedlings, %) at 32, 41 ... 104 °F. NG: little or no germination, -: not tested.
TABLE = """
onion    136(90) 31(98) 13(98)  7(98)  5(99)  4(97)  4(91) 13(73) NG(2)
lettuce   49(98) 15(98)  7(98)  4(99)  3(99)  2(99)  3(12) NG(0)  NG(0)
spinach   63(83) 23(96) 12(91)  7(82)  6(52)  5(28)  6(32) NG(0)  NG(0)
beet       -(0)  42(53) 17(72) 10(88)  6(90)  5(97)  5(89)  5(35)  -(0)
carrot    NG(0)  51(48) 17(93) 10(95)  7(96)  6(96)  6(95)  9(74) NG(0)
radish    NG(0)  29(42) 11(76)  6(97)  4(95)  4(97)  3(95)  -(0)   -(0)
"""


@pytest.mark.parametrize("line", TABLE.strip().splitlines())
def test_printed_temperatures_give_the_printed_figures(published: Check, line: str) -> None:
    crop, *cells = line.split()

    for fahrenheit, cell in zip((32, 41, 50, 59, 68, 77, 86, 95, 104), cells, strict=True):
        days, _, percent = cell.rstrip(")").partition("(")
        got = emergence(crop, fahrenheit_to_celsius(fahrenheit))

        if days.isdigit():
            assert got.basis is Basis.PRINTED
            assert got.days is not None
            published(HARRINGTON, f"{crop}, {fahrenheit} °F: days", got.days, float(days), 1e-9)
        else:
            assert got.days is None
            assert got.basis is (Basis.LITTLE_OR_NONE if days == "NG" else Basis.NOT_TESTED)
        assert got.normal_share is not None
        normal_pct = 100 * got.normal_share
        published(HARRINGTON, f"{crop}, {fahrenheit} °F: normal seedlings, %", normal_pct, float(percent), 1e-9)


@pytest.mark.parametrize(
    ("crop", "fahrenheit", "days"), [("lettuce", 86, 2), ("beet", 86, 4), ("beet", 95, 4), ("asparagus", 86, 11)]
)
def test_another_edition_differs_by_a_day(published: Check, crop: str, fahrenheit: int, days: int) -> None:
    got = emergence(crop, fahrenheit_to_celsius(fahrenheit)).days

    assert got is not None
    published(OSU_EDITION, f"{crop}, {fahrenheit} °F: days", got, days, 1)


def test_the_table_is_printed_in_whole_steps_of_both_scales() -> None:
    assert [celsius_to_fahrenheit(c) for c in TABLE_TEMPERATURES_C] == [32, 41, 50, 59, 68, 77, 86, 95, 104]


@pytest.mark.parametrize(
    ("crop", "lowest", "good_from", "good_to", "best", "highest"),
    [
        ("onion", 35, 50, 95, 75, 95),
        ("lettuce", 35, 40, 80, 75, 95),
        ("spinach", 35, 45, 75, 70, 85),
        ("beet", 40, 50, 85, 85, 95),
        ("chard", 40, 50, 85, 85, 95),
        ("carrot", 40, 45, 85, 80, 95),
    ],
)
def test_sprouting_range(
    published: Check, crop: str, lowest: int, good_from: int, good_to: int, best: int, highest: int
) -> None:
    got = sprouting_range(crop)

    assert got is not None
    printed = {
        "lowest": (got.lowest_c, lowest),
        "good from": (got.good_from_c, good_from),
        "good to": (got.good_to_c, good_to),
        "best": (got.best_c, best),
        "highest": (got.highest_c, highest),
    }
    for name, (celsius, fahrenheit) in printed.items():
        published(OSU_RANGES, f"{crop}: {name}, °F", celsius_to_fahrenheit(celsius), fahrenheit, 1e-9)
