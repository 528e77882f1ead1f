"""Germination standards of vegetable seed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from shared_models.trade.raising.germination import FEDERAL_MINIMUM_PCT, federal_minimum, meets_federal_minimum

if TYPE_CHECKING:
    from tests.published.conftest import Check

SEED_ACT = "7 CFR 201.31 (59 FR 64491, 14 Dec. 1994), as quoted at law.lawstack.com"


#: The whole list: germination in %, crops.
TABLE = """
40 Cress, water; Spinach, New Zealand
50 Chives; Okra; Tomato, husk
55 Carrot; Celeriac; Celery; Pepper; Savory, summer
60 Artichoke; Burdock, great; Cardoon; Cress, upland; Dandelion; Dill; Eggplant; Leek; Parsley; Parsnip; Rhubarb
60 Sage; Spinach
65 Beet; Chard, Swiss; Chicory; Citron; Sorrel
70 Asparagus; Bean, garden; Bean, lima; Brussels sprouts; Cabbage, tronchuda; Cornsalad; Endive; Onion; Onion, Welsh
70 Watermelon
75 Asparagusbean; Bean, runner; Broadbean; Broccoli; Cabbage; Cauliflower; Chinese cabbage; Corn, sweet; Cowpea
75 Cress, garden; Kale; Kale, Chinese; Kale, Siberian; Kohlrabi; Melon; Mustard, India; Mustard, spinach; Pak-choi
75 Pumpkin; Radish; Rutabaga; Salsify; Soybean; Squash; Tomato
80 Collards; Cucumber; Lettuce; Pea; Turnip
"""
LINES = [(int(line[:2]), line[3:].split("; ")) for line in TABLE.strip().splitlines()]


@pytest.mark.parametrize(("percent", "crops"), LINES)
def test_federal_minimum(published: Check, percent: int, crops: list[str]) -> None:
    for crop in crops:
        got = federal_minimum(crop)

        assert got is not None
        published(SEED_ACT, f"{crop}, %", got * 100, percent, 1e-9)
        assert meets_federal_minimum(crop, percent / 100)
        assert not meets_federal_minimum(crop, (percent - 1) / 100)


def test_the_whole_list_is_there(published: Check) -> None:
    published(SEED_ACT, "crops listed", len(FEDERAL_MINIMUM_PCT), 68, 0)
    assert sum(len(crops) for _, crops in LINES) == 68
