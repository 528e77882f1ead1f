import math
from dataclasses import replace
from typing import Any

import pytest

from shared_models.core.vocabulary import Feel
from shared_models.errors import BadQuantity
from shared_models.trade.misses.effects import SENTENCES, Direction, Effect, MissAnalysis, Rules, Why, analyze_misses
from shared_models.trade.misses.factors import Factor, RowFacts
from tests.shared_models.trade.weather.season import season


def effect_of(analysis: MissAnalysis, factor: Factor, level: str | None = None) -> Effect:
    (found,) = [effect for effect in analysis.effects if (effect.factor, effect.level) == (factor, level)]
    return found


def reason_for(analysis: MissAnalysis, factor: Factor) -> Why:
    return next(left_out.why for left_out in analysis.left_out if left_out.factor is factor)


def test_a_deep_furrow_that_costs_plants_is_found() -> None:
    analysis = analyze_misses(season(30, depth_effect=0.05, planting_scatter=0.2))

    depth = effect_of(analysis, Factor.DEPTH)
    assert depth.direction is Direction.MORE
    assert depth.low < math.exp(0.5) < depth.high
    assert depth.tried == (25.0, 35.0, 45.0)
    assert depth.ratio > 1
    assert analysis.row_dispersion is not None
    assert depth.sentence == "Deeper rows had more misses."
    assert analysis.sentence == SENTENCES["clear"]


def test_wet_beds_are_compared_with_the_usual_class() -> None:
    analysis = analyze_misses(season(40, wet_effect=1.0, planting_scatter=0.2))

    wet = effect_of(analysis, Factor.MOISTURE, "wet")
    assert wet.usual == "moist"
    assert wet.direction is Direction.MORE
    assert wet.sure > 0.99


def test_where_nothing_matters_little_is_claimed() -> None:
    """At most one in ten of 60 seasons without any true effect shows something as clear (one in twenty expected)."""
    claims = 0
    for seed in range(60):
        analysis = analyze_misses(season(25, rows_each=4, seed=seed, planting_scatter=0.4))
        claims += any(effect.direction is not Direction.UNCLEAR for effect in analysis.effects)
        assert analysis.enough

    assert claims <= 6


@pytest.mark.parametrize("rows", [[], season(1), season(1, rows_each=9)])
def test_few_rows_are_not_enough_and_say_how_many_are_lacking(rows: list[RowFacts]) -> None:
    analysis = analyze_misses(rows)

    assert not analysis.enough
    assert analysis.sentence == "Not enough rows yet to say what goes along with misses."
    assert analysis.row_dispersion is None
    if rows:
        assert analysis.rows_lacking is not None
        assert analysis.rows_lacking + len(rows) >= 10
        assert analysis.plantings_lacking == 4
    else:
        assert analysis.rows_lacking is None
        assert {left.sentence for left in analysis.left_out} == {SENTENCES[Why.TOO_FEW_ROWS]}


def test_rows_lacking_are_counted_at_the_rate_of_misses_so_far() -> None:
    rows = [replace(row, misses=number % 2) for number, row in enumerate(season(1, rows_each=4))]
    rules = Rules(rows_per_column=3, misses_per_column=10)

    assert analyze_misses(rows, rules=rules).rows_lacking == 16


def test_rows_without_misses_have_nothing_to_teach() -> None:
    rows = [replace(row, misses=0) for row in season(20)]

    analysis = analyze_misses(rows)

    assert not analysis.enough
    assert analysis.rows_lacking is None
    assert reason_for(analysis, Factor.DEPTH) is Why.TOO_FEW_ROWS


def test_rows_of_one_bed_can_teach_depth_but_not_what_the_bed_shares() -> None:
    """Depths alternating in a single planting: the comparison that is suggested when nothing is clear."""
    analysis = analyze_misses(season(1, rows_each=24))

    assert [effect.factor for effect in analysis.effects] == [Factor.DEPTH]
    assert reason_for(analysis, Factor.MOISTURE) is Why.NEVER_VARIED
    assert analysis.plantings == 1


def test_a_figure_that_varies_by_a_hair_is_no_comparison() -> None:
    rows = [replace(row, plant_age_days=50 + i % 2 * 0.5) for i, row in enumerate(season(30))]

    assert reason_for(analyze_misses(rows), Factor.PLANT_AGE) is Why.NEVER_VARIED


def test_a_factor_that_is_the_same_in_few_plantings_has_to_wait_for_more() -> None:
    rows = season(4, rows_each=20, seed=3)

    analysis = analyze_misses(rows)

    assert reason_for(analysis, Factor.PLANT_AGE) is Why.TOO_FEW_ROWS
    assert analysis.plantings_lacking == 1
    assert [effect.factor for effect in analysis.effects] == [Factor.DEPTH]


def test_few_rows_answer_the_first_questions_only() -> None:
    analysis = analyze_misses(season(4, rows_each=5))

    assert len(analysis.effects) <= 2
    assert reason_for(analysis, Factor.CREW) is Why.TOO_FEW_ROWS


def test_a_factor_hardly_ever_written_down_is_left_out_and_costs_no_rows() -> None:
    rows = [replace(row, depth_mm=row.depth_mm if i % 2 else None) for i, row in enumerate(season(30))]

    analysis = analyze_misses(rows)

    assert reason_for(analysis, Factor.DEPTH) is Why.NOT_RECORDED
    assert analysis.rows == 150


def test_rows_that_lack_a_factor_are_passed_over() -> None:
    rows = [replace(row, depth_mm=row.depth_mm if i % 10 else None) for i, row in enumerate(season(30))]

    assert analyze_misses(rows).rows == 135


def test_two_factors_that_moved_together_cannot_be_told_apart() -> None:
    rows = [replace(row, spacing_mm=2 * (row.depth_mm or 0)) for row in season(30)]

    analysis = analyze_misses(rows)

    assert reason_for(analysis, Factor.SPACING) is Why.MOVED_TOGETHER
    assert effect_of(analysis, Factor.DEPTH)


def test_a_class_without_any_miss_is_reported_and_left_out() -> None:
    rows = [replace(row, misses=0 if row.moisture is Feel.WET else row.misses) for row in season(40)]

    analysis = analyze_misses(rows)

    assert reason_for(analysis, Factor.MOISTURE) is Why.ALL_OR_NONE
    assert effect_of(analysis, Factor.DEPTH)


def test_a_guest_crew_of_one_row_does_not_upset_the_comparison() -> None:
    rows = season(30)
    rows[0] = replace(rows[0], crew="guest")

    analysis = analyze_misses(rows)

    assert analysis.rows == 149
    assert {effect.level for effect in analysis.effects if effect.factor is Factor.CREW} <= {"A", "B"}


def test_the_order_of_the_rows_does_not_matter() -> None:
    rows = season(30, depth_effect=0.03)

    there, back = analyze_misses(rows), analyze_misses(rows[::-1])

    for one, other in zip(there.effects, back.effects, strict=True):
        assert (one.factor, one.direction) == (other.factor, other.direction)
        assert one.odds_ratio == pytest.approx(other.odds_ratio)


def test_stricter_rules_of_the_farm_leave_more_out() -> None:
    rows = season(20)

    strict = analyze_misses(rows, Rules(rows_per_column=60))

    assert len(strict.effects) < len(analyze_misses(rows).effects)


def test_every_effect_and_reason_has_its_sentence() -> None:
    for factor in Factor:
        for direction in Direction:
            assert f"{factor}_{direction}" in SENTENCES
    assert all(why in SENTENCES for why in Why)


@pytest.mark.parametrize(
    "rules", [{"rows_per_column": 0}, {"recorded_share": 0}, {"recorded_share": 1.1}, {"own_share": -1}, {"clear_p": 2}]
)
def test_rules_that_let_anything_pass_are_refused(rules: dict[str, Any]) -> None:
    with pytest.raises(BadQuantity):
        Rules(**rules)


def test_rules_that_ask_for_hardly_any_rows_still_leave_one_to_spare() -> None:
    """Two rows and one figure would leave no scatter to judge it by."""
    rows = [RowFacts(5, 100, depth_mm=20), RowFacts(9, 100, depth_mm=40)]
    rules = Rules(rows_per_column=1, misses_per_column=1, plantings_per_column=1, recorded_share=0.1)

    result = analyze_misses(rows, rules)

    assert (result.effects, result.enough) == ((), False)
