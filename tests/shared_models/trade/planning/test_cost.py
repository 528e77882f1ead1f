from dataclasses import astuple, replace
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.units import feet_to_mm
from shared_models.errors import BadQuantity
from shared_models.trade.planning.cost import (
    Case,
    Costs,
    HandSetting,
    Inputs,
    PayBack,
    Prices,
    chain_cost,
    hand_set_cost,
    pay_back,
    per_established_plant,
    sensitivity,
)

ROW_MM = feet_to_mm(100)
SEASON_MM = feet_to_mm(10_000)

SEASON = Inputs(
    length_mm=feet_to_mm(1_000),
    positions=2_000,
    stand=0.95,
    person_hours=5,
    trays=8,
    seeds=2_112,
    fill_plugs=40,
)
PRICES = Prices(hour=20, seed=0.01, chain=4, mix=2, plug=0.1)
HAND = HandSetting(plants_per_person_hour=500, stand=0.98)
CASE = Case(SEASON, PRICES, HAND, tool_price=3_000)

money = st.floats(0, 1_000)
stands = st.floats(0.01, 1)


@st.composite
def cases(draw: st.DrawFn) -> Case:
    """Any case a farm could enter."""
    inputs = Inputs(
        length_mm=draw(st.floats(1_000, 1e7)),
        positions=draw(st.floats(1, 1e6)),
        stand=draw(stands),
        person_hours=draw(st.floats(0, 1e4)),
        trays=draw(st.floats(0, 1e4)),
        seeds=draw(st.floats(0, 1e6)),
        fill_plugs=draw(st.floats(0, 1e4)),
    )
    prices = Prices(*(draw(money) for _ in range(5)))
    return Case(inputs, prices, HandSetting(draw(st.floats(1, 5_000)), draw(stands)), draw(st.floats(0, 1e5)))


def test_each_part_is_quantity_times_price() -> None:
    costs = chain_cost(SEASON, PRICES)

    assert astuple(costs) == pytest.approx((100, 21.12, 32, 16, 4))
    assert costs.total == pytest.approx(173.12)


def test_hand_setting_is_labor_and_plugs() -> None:
    assert hand_set_cost(2_000, HAND, PRICES) == Costs(labor=80, plugs=200)


def test_cost_per_established_plant() -> None:
    costs = chain_cost(SEASON, PRICES)

    assert per_established_plant(costs, 2_000, 0.95).total == pytest.approx(173.12 / 1_900)
    assert per_established_plant(costs, 2_000, 0.95).labor == pytest.approx(100 / 1_900)


@given(cases())
def test_the_total_is_the_sum_of_its_parts_however_it_is_shared(case: Case) -> None:
    costs = chain_cost(case.inputs, case.prices)

    for shared in (costs, per_established_plant(costs, case.inputs.positions, case.inputs.stand)):
        assert shared.total == pytest.approx(sum(astuple(shared)))


@given(st.floats(0.01, 0.98))
def test_a_better_stand_makes_each_plant_cheaper(stand: float) -> None:
    costs = chain_cost(SEASON, PRICES)

    better = per_established_plant(costs, 2_000, stand * 1.02).total

    assert better < per_established_plant(costs, 2_000, stand).total


@given(cases())
def test_a_better_chain_stand_never_lowers_the_saving_per_plant(case: Case) -> None:
    better = replace(case, inputs=replace(case.inputs, stand=min(1.0, case.inputs.stand * 1.1)))
    saved, saved_better = (pay_back(c, ROW_MM, SEASON_MM).saved_per_established_plant for c in (case, better))

    assert saved_better >= saved - 1e-9 * abs(saved)


def test_row_to_plant_until_the_tool_is_paid() -> None:
    """Hand 280/1,960 per plant, chain 173.12/1,900; the difference × 190 plants in 100 ft is 9.8309 saved."""
    found = pay_back(CASE, ROW_MM, SEASON_MM)

    assert found.saved_per_established_plant == pytest.approx(280 / 1_960 - 173.12 / 1_900)
    assert found.rows == pytest.approx(3_000 / 9.830857, rel=1e-6)
    assert found.length_mm == pytest.approx(ROW_MM * 3_000 / 9.830857, rel=1e-6)
    assert found.seasons == pytest.approx(3_000 / 9.830857 / 100, rel=1e-6)


@given(cases())
def test_what_was_saved_by_then_is_the_price_of_the_tool(case: Case) -> None:
    found = pay_back(case, ROW_MM, SEASON_MM)

    saved = found.saved_per_established_plant * case.inputs.positions * case.inputs.stand
    if found.length_mm is None:
        assert saved <= 0
    else:
        assert found.length_mm / case.inputs.length_mm * saved == pytest.approx(case.tool_price)


def test_a_tool_that_saves_nothing_never_pays() -> None:
    slow = replace(CASE, inputs=replace(SEASON, person_hours=50))

    found = pay_back(slow, ROW_MM, SEASON_MM)

    assert found.saved_per_established_plant < 0
    assert (found.length_mm, found.rows, found.seasons) == (None, None, None)


@given(st.floats(1, 1e5))
def test_a_dearer_tool_takes_more_rows(price: float) -> None:
    cheap, dear = (pay_back(replace(CASE, tool_price=p), ROW_MM, SEASON_MM).rows for p in (price, price * 1.1))

    assert cheap is not None
    assert dear is not None
    assert dear > cheap


def test_costs_add_part_by_part() -> None:
    assert Costs(1, 2, 3, 4, 5) + Costs(10, 20, 30, 40, 50) == Costs(11, 22, 33, 44, 55)


def test_sensitivity_moves_one_figure_at_a_time_and_puts_the_widest_first() -> None:
    swings = sensitivity(
        CASE,
        {"prices.mix": (1, 3), "tool_price": (2_500, 3_500), "inputs.person_hours": (3, 50), "hand.stand": (0.9, 1.0)},
        ROW_MM,
        SEASON_MM,
    )

    assert [swing.figure for swing in swings] == ["inputs.person_hours", "tool_price", "hand.stand", "prices.mix"]
    assert (swings[1].low, swings[1].high) == (2_500, 3_500)
    assert swings[0].at_high.length_mm is None
    assert swings[1].at_low == pay_back(replace(CASE, tool_price=2_500), ROW_MM, SEASON_MM)
    assert swings[1].at_high == pay_back(replace(CASE, tool_price=3_500), ROW_MM, SEASON_MM)


@pytest.mark.parametrize(
    "figure", ["inputs.stand", "inputs.fill_plugs", "prices.hour", "prices.plug", "hand.plants_per_person_hour"]
)
def test_a_range_of_no_width_gives_the_base_case_twice(figure: str) -> None:
    part, _, field = figure.partition(".")
    base = getattr(getattr(CASE, part), field)

    (swing,) = sensitivity(CASE, {figure: (base, base)}, ROW_MM, SEASON_MM)

    assert swing.at_low == swing.at_high == pay_back(CASE, ROW_MM, SEASON_MM)


def test_two_ends_that_never_pay_have_no_width() -> None:
    slow = replace(CASE, inputs=replace(SEASON, person_hours=50))

    swings = sensitivity(slow, {"prices.seed": (0.01, 0.02), "inputs.person_hours": (5, 50)}, ROW_MM, SEASON_MM)

    assert [swing.figure for swing in swings] == ["inputs.person_hours", "prices.seed"]
    assert swings[1].at_low.length_mm is swings[1].at_high.length_mm is None


def test_dear_labor_makes_the_tool_pay_sooner_when_it_saves_hours() -> None:
    fast = replace(CASE, inputs=replace(SEASON, person_hours=2))

    (swing,) = sensitivity(fast, {"prices.hour": (10, 30)}, ROW_MM, SEASON_MM)

    def rows(end: PayBack) -> float:
        assert end.rows is not None
        return end.rows

    assert rows(swing.at_high) < rows(swing.at_low)


def test_a_figure_the_case_does_not_have_is_named_with_those_it_has() -> None:
    for wrong in ("prices.paint", "stand", "prices", "inputs.stand.low"):
        with pytest.raises(BadQuantity, match=r"one of inputs\.length_mm.*tool_price"):
            sensitivity(CASE, {wrong: (1, 2)}, ROW_MM, SEASON_MM)


def test_ranges_that_cannot_be_are_refused() -> None:
    with pytest.raises(BadQuantity, match=r"^prices\.hour"):
        sensitivity(CASE, {"prices.hour": (30, 10)}, ROW_MM, SEASON_MM)
    with pytest.raises(BadQuantity, match=r"^stand"):
        sensitivity(CASE, {"inputs.stand": (0.9, 1.1)}, ROW_MM, SEASON_MM)


@pytest.mark.parametrize("bad", [-1, nan, inf])
@pytest.mark.parametrize("field", ["person_hours", "trays", "seeds", "fill_plugs", "length_mm", "positions", "stand"])
def test_impossible_inputs_are_named(field: str, bad: float) -> None:
    with pytest.raises(BadQuantity, match=f"^{field}"):
        replace(SEASON, **{field: bad})


@pytest.mark.parametrize("bad", [-1, nan, inf])
@pytest.mark.parametrize("field", ["hour", "seed", "chain", "mix", "plug"])
def test_impossible_prices_are_named(field: str, bad: float) -> None:
    with pytest.raises(BadQuantity, match=f"^{field}"):
        replace(PRICES, **{field: bad})


@pytest.mark.parametrize("bad", [0, -1, nan, inf])
def test_other_impossible_figures_are_named(bad: float) -> None:
    costs = chain_cost(SEASON, PRICES)
    with pytest.raises(BadQuantity, match=r"^plants_per_person_hour"):
        HandSetting(bad, 1)
    with pytest.raises(BadQuantity, match=r"^stand"):
        HandSetting(500, bad)
    with pytest.raises(BadQuantity, match=r"^stand"):
        per_established_plant(costs, 100, bad)
    with pytest.raises(BadQuantity, match=r"^positions"):
        per_established_plant(costs, bad, 1)
    with pytest.raises(BadQuantity, match=r"^row_mm"):
        pay_back(CASE, bad, SEASON_MM)
    with pytest.raises(BadQuantity, match=r"^season_mm"):
        pay_back(CASE, ROW_MM, bad)


def test_a_tool_price_and_a_number_of_plants_are_not_negative() -> None:
    with pytest.raises(BadQuantity, match=r"^tool_price"):
        replace(CASE, tool_price=-1)
    with pytest.raises(BadQuantity, match=r"^plants"):
        hand_set_cost(-1, HAND, PRICES)
