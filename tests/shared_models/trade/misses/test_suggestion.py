from typing import Any

import pytest

from shared_models.trade.misses.effects import Direction, Effect, MissAnalysis, analyze_misses
from shared_models.trade.misses.factors import Factor
from shared_models.trade.misses.suggestion import ADJUSTABLE, SENTENCES, Proposal, suggest_next
from tests.shared_models.trade.weather.season import season


def effect(**changed: Any) -> Effect:
    fields: dict[str, Any] = {
        "factor": Factor.DEPTH,
        "level": None,
        "usual": None,
        "step": 10.0,
        "tried": (25.0, 35.0, 45.0),
        "odds_ratio": 1.6,
        "low": 1.2,
        "high": 2.0,
        "ratio": 4.0,
        "p_value": 0.001,
        "sure": 0.999,
        "direction": Direction.MORE,
    }
    return Effect(**(fields | changed))


def analysis(*effects: Effect) -> MissAnalysis:
    return MissAnalysis(
        rows=50,
        plantings=10,
        misses=500,
        positions=10_000,
        effects=effects,
        left_out=(),
        row_dispersion=1.0,
        planting_dispersion=1.0,
        rows_lacking=0,
        plantings_lacking=0,
    )


WET = {"factor": Factor.MOISTURE, "level": "wet", "usual": "moist", "step": None, "tried": None}


def test_a_clear_effect_is_followed_one_step_the_better_way() -> None:
    got = suggest_next(analysis(effect()))

    assert got is not None
    assert (got.factor, got.proposal, got.settings, got.beyond) == (Factor.DEPTH, Proposal.STEP, (25.0,), False)
    assert got.odds_ratio == pytest.approx(1 / 1.6)
    assert (got.low, got.high) == pytest.approx((1 / 2.0, 1 / 1.2))
    assert got.sure == 0.999
    assert got.more_rows is None


def test_a_step_beyond_what_was_tried_says_so() -> None:
    got = suggest_next(analysis(effect(direction=Direction.FEWER, odds_ratio=0.5, tried=(25.0, 40.0, 45.0))))

    assert got is not None
    assert (got.settings, got.beyond) == ((50.0,), True)


def test_a_step_down_stops_at_half_of_the_lowest_tried() -> None:
    got = suggest_next(analysis(effect(tried=(12.0, 14.0, 45.0))))

    assert got is not None
    assert (got.settings, got.beyond) == ((6.0,), True)
    assert got.odds_ratio == pytest.approx(1.6**-0.8)


def test_where_nothing_lower_is_left_nothing_is_suggested() -> None:
    assert suggest_next(analysis(effect(factor=Factor.TILLAGE_AGE, step=24.0, tried=(0.0, 0.0, 48.0)))) is None


def test_of_several_clear_effects_the_largest_gain_comes_first() -> None:
    age = effect(factor=Factor.PLANT_AGE, step=7.0, tried=(40.0, 50.0, 60.0), odds_ratio=0.4, direction=Direction.FEWER)

    got = suggest_next(analysis(effect(), age))

    assert got is not None
    assert (got.factor, got.settings) == (Factor.PLANT_AGE, (57.0,))


def test_a_better_class_is_suggested_and_a_worse_one_is_not() -> None:
    better = suggest_next(analysis(effect(**WET, odds_ratio=0.5, direction=Direction.FEWER)))

    assert better is not None
    assert (better.proposal, better.settings, better.odds_ratio) == (Proposal.STEP, ("wet",), 0.5)
    assert suggest_next(analysis(effect(**WET, direction=Direction.MORE))) is None


def test_when_nothing_is_clear_the_strongest_hint_is_put_to_the_test() -> None:
    weak = effect(direction=Direction.UNCLEAR, ratio=1.0)
    hint = effect(factor=Factor.PLANT_AGE, step=7.0, tried=(40.0, 50.0, 61.0), direction=Direction.UNCLEAR, ratio=-1.4)

    got = suggest_next(analysis(weak, hint))

    assert got is not None
    assert (got.factor, got.proposal, got.settings) == (Factor.PLANT_AGE, Proposal.COMPARE, (40.0, 61.0))
    assert got.more_rows == 151  # 50 rows x (2.80 / 1.4)^2 = 201 in all


def test_a_class_is_put_to_the_test_against_the_usual() -> None:
    got = suggest_next(analysis(effect(**WET, direction=Direction.UNCLEAR, ratio=0.0)))

    assert got is not None
    assert (got.proposal, got.settings, got.more_rows) == (Proposal.COMPARE, ("wet", "moist"), None)


@pytest.mark.parametrize("factor", [Factor.CREW, Factor.SPACING])
def test_people_and_spacing_are_never_a_setting_to_try(factor: Factor) -> None:
    assert suggest_next(analysis(effect(factor=factor))) is None


def test_without_effects_there_is_nothing_to_try() -> None:
    assert suggest_next(analysis()) is None


def test_a_drawn_season_leads_to_a_shallower_furrow() -> None:
    got = suggest_next(analyze_misses(season(30, depth_effect=0.05, planting_scatter=0.2)))

    assert got is not None
    assert (got.factor, got.settings) == (Factor.DEPTH, (25.0,))
    assert got.sentence == SENTENCES["step_depth_mm"]


def test_every_proposal_has_its_sentence() -> None:
    assert set(SENTENCES) == {f"{proposal}_{factor}" for proposal in Proposal for factor in ADJUSTABLE}


def test_odds_beyond_what_a_number_holds_are_reported_as_the_greatest_it_does() -> None:
    """As rows give them of which some were missed whole: nothing is known, but nothing breaks."""
    wild = effect(tried=(0.0, 40.0, 5000.0), low=1e-304, high=1e304, direction=Direction.UNCLEAR, ratio=0.1)

    got = suggest_next(analysis(wild))

    assert got is not None
    assert 0 < got.low < 1e-300
    assert 1e300 < got.high < float("inf")
