"""What a living plant cost, worked out by hand from the hand day."""

import pytest

from shared_models.reports.common.filters import Filters
from shared_models.reports.sheets.costs import CostSheet
from shared_models.reports.sheets.season import season_sheet
from tests.shared_models.reports.support.farmbook import HandDay

PRICES = {"hour": 20.0, "seed": 0.01, "chain_per_tray": 4.0, "mix_per_tray": 1.5, "plug": 0.1}


def costs(day: HandDay, filters: Filters | None = None) -> CostSheet:
    with day.book.reports() as reports:
        sheet = season_sheet(reports, filters or Filters(), with_costs=True)
    assert sheet.costs is not None
    return sheet.costs


def test_each_part_is_the_farms_price_times_what_went_in(hand_day: HandDay) -> None:
    """Leeks: Cy for half an hour, 200 places from 200 / 264 of a tray; every place lives."""
    hand_day.book.farm(prices=PRICES)

    leeks = costs(hand_day).plantings[1]

    assert leeks.label == "Leek, Bed 2"
    assert leeks.costs.labor == pytest.approx(10.0)
    assert (leeks.costs.seed, leeks.costs.plugs) == pytest.approx((2.0, 0.0))
    assert (leeks.costs.chain, leeks.costs.mix) == pytest.approx((200 / 264 * 4.0, 200 / 264 * 1.5))
    assert leeks.each.total == pytest.approx(leeks.costs.total / 200)
    assert not leeks.counted


def test_hours_cost_each_persons_own_wage_and_else_the_farms(hand_day: HandDay) -> None:
    """Onions: half an hour of Ana at 30 and of Ben at the farm's 20."""
    hand_day.book.farm(prices=PRICES)
    hand_day.book.change("person", hand_day.ana, wage_per_hour=30.0)

    onions = costs(hand_day).plantings[0]

    assert onions.costs.labor == pytest.approx(15.0 + 10.0)
    assert onions.costs.plugs == pytest.approx(2 * 0.1)
    assert onions.established == pytest.approx(1200 - 6 + 2)


def test_a_counted_stand_goes_before_the_misses_noted(hand_day: HandDay) -> None:
    book = hand_day.book
    book.farm(prices=PRICES)
    at = hand_day.later(240).isoformat()
    book.add("stand_count", planting=hand_day.leeks, at=at, row=1, sample_length_mm=3048, plants=18)

    leeks = costs(hand_day).plantings[1]

    assert leeks.counted
    assert leeks.established == pytest.approx(200 * 18 / 20)


def test_all_together_weighs_each_living_plant_alike(hand_day: HandDay) -> None:
    hand_day.book.farm(prices=PRICES, plug_tray_plants_per_person_hour=400)

    result = costs(hand_day)

    assert result.total is not None
    assert result.each is not None
    assert result.by_hand is not None
    assert result.total.total == pytest.approx(sum(planting.costs.total for planting in result.plantings))
    assert result.each.total == pytest.approx(result.total.total / (1196 + 200))
    assert result.by_hand.total == pytest.approx(20 / 400 + 0.1)


def test_prices_that_are_not_told_are_named_and_nothing_is_worked_out(hand_day: HandDay) -> None:
    assert costs(hand_day) == CostSheet(("hour", "seed", "chain_per_tray", "mix_per_tray", "plug"))


def test_no_price_of_an_hour_is_needed_where_everybody_has_a_wage(hand_day: HandDay) -> None:
    hand_day.book.farm(prices={name: price for name, price in PRICES.items() if name != "hour"})
    for person in (hand_day.ana, hand_day.ben, hand_day.cy):
        hand_day.book.change("person", person, wage_per_hour=18.0)

    result = costs(hand_day)

    assert (result.lacking, result.by_hand) == ((), None)
    assert result.plantings[1].costs.labor == pytest.approx(9.0)


def test_a_price_below_nothing_is_none(hand_day: HandDay) -> None:
    hand_day.book.farm(prices=PRICES | {"seed": -0.01})

    assert costs(hand_day).lacking == ("seed",)


def test_trays_without_cells_cost_nothing_that_can_be_told(hand_day: HandDay) -> None:
    """One chain for each plant it would be, if a tray counted as a cell."""
    hand_day.book.farm(prices=PRICES)
    chard = hand_day.book.planting(hand_day.south, "Chard", 152.4, cells_per_tray=0)
    hand_day.book.row(chard, 1, "10:00", "10:10", [hand_day.cy])

    result = costs(hand_day)

    assert (len(result.plantings), result.left_out) == (2, 1)


def test_what_has_no_stand_is_left_out_and_counted(hand_day: HandDay) -> None:
    book = hand_day.book
    book.farm(prices=PRICES)
    book.row(book.new_id(), 1, "10:00", "10:10", [hand_day.cy])
    book.change("row_pass", hand_day.third, misses=999_999)

    result = costs(hand_day)

    assert [planting.label for planting in result.plantings] == ["Onion Varna (O1), Bed 1 (North)"]
    assert result.left_out == 2


def test_nothing_that_lives_costs_nothing_each(hand_day: HandDay) -> None:
    hand_day.book.farm(prices=PRICES)

    result = costs(hand_day, Filters(crop="chard"))

    assert (result.each, result.plantings, result.left_out) == (None, (), 0)
