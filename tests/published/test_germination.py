"""Germination standards of vegetable seed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from shared_models.trade.germination import FEDERAL_MINIMUM_PCT, federal_minimum, meets_federal_minimum

if TYPE_CHECKING:
    from tests.published.conftest import Check

SEED_ACT = "7 CFR 201.31 (59 FR 64491, 14 Dec. 1994), as quoted at law.lawstack.com"


@pytest.mark.parametrize(
    ("percent", "crops"),
    [
        (40, ["Cress, water", "Spinach, New Zealand"]),
        (50, ["Chives", "Okra", "Tomato, husk"]),
        (55, ["Carrot", "Celeriac", "Celery", "Pepper", "Savory, summer"]),
        (60, ["Artichoke", "Dill", "Eggplant", "Leek", "Parsley", "Parsnip", "Rhubarb", "Sage", "Spinach"]),
        (65, ["Beet", "Chard, Swiss", "Chicory", "Citron", "Sorrel"]),
        (70, ["Asparagus", "Bean, garden", "Cornsalad", "Endive", "Onion", "Onion, Welsh", "Watermelon"]),
        (75, ["Broccoli", "Cabbage", "Kale", "Melon", "Pak-choi", "Radish", "Squash", "Tomato"]),
        (80, ["Collards", "Cucumber", "Lettuce", "Pea", "Turnip"]),
    ],
)
def test_federal_minimum(published: Check, percent: int, crops: list[str]) -> None:
    for crop in crops:
        got = federal_minimum(crop)
        assert got is not None
        published(SEED_ACT, f"{crop}, %", got * 100, percent, 1e-9)
        assert meets_federal_minimum(crop, percent / 100)
        assert not meets_federal_minimum(crop, (percent - 1) / 100)


def test_the_whole_list_is_there(published: Check) -> None:
    published(SEED_ACT, "crops listed", len(FEDERAL_MINIMUM_PCT), 68, 0)
