from dataclasses import replace
from math import nan
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.vocabulary import Amount, Feel, Readiness, Texture
from shared_models.errors import BadQuantity
from shared_models.trade.soil.readiness import FACTORS, SENTENCES, SoilObservation, SoilThresholds, verdict

GOOD = SoilObservation(
    texture=Texture.MEDIUM,
    feel=Feel.MOIST,
    residue_pct=5,
    stones=Amount.FEW,
    clods=Amount.NONE,
    hours_since_tillage=12,
    soil_c=15,
)
SEVERITY = [Readiness.READY, Readiness.WAIT, Readiness.NOT_FIT]

looks = st.builds(
    SoilObservation,
    texture=st.none() | st.sampled_from(Texture),
    feel=st.none() | st.sampled_from(Feel),
    residue_pct=st.none() | st.floats(0, 100),
    stones=st.none() | st.sampled_from(Amount),
    clods=st.none() | st.sampled_from(Amount),
    hours_since_tillage=st.none() | st.floats(0, 2_000),
    soil_c=st.none() | st.floats(-10, 40),
)


def test_a_bed_where_all_was_seen_and_all_is_well_is_ready() -> None:
    found = verdict(GOOD)

    assert found.readiness is Readiness.READY
    assert found.limiting is None
    assert found.missing == ()
    assert tuple(finding.factor for finding in found.findings) == FACTORS


@pytest.mark.parametrize(
    ("observed", "key", "readiness"),
    [
        (replace(GOOD, feel=Feel.DRY), "moisture_too_dry", Readiness.WAIT),
        (replace(GOOD, feel=Feel.WET), "moisture_too_wet", Readiness.WAIT),
        (replace(GOOD, feel=Feel.FIELD_CAPACITY), "moisture_too_wet", Readiness.WAIT),
        (replace(GOOD, residue_pct=10.1), "residue_heavy", Readiness.WAIT),
        (replace(GOOD, residue_pct=30.1), "residue_clogs", Readiness.NOT_FIT),
        (replace(GOOD, stones=Amount.SOME), "stones_some", Readiness.WAIT),
        (replace(GOOD, stones=Amount.MANY), "stones_many", Readiness.NOT_FIT),
        (replace(GOOD, clods=Amount.SOME), "clods_some", Readiness.WAIT),
        (replace(GOOD, clods=Amount.MANY), "clods_many", Readiness.NOT_FIT),
        (replace(GOOD, hours_since_tillage=72.1), "tillage_old", Readiness.WAIT),
        (replace(GOOD, soil_c=6.9), "soil_cold", Readiness.WAIT),
    ],
)
def test_one_bad_factor_decides_and_says_the_remedy(observed: SoilObservation, key: str, readiness: Readiness) -> None:
    found = verdict(observed)

    assert found.readiness is readiness
    assert found.limiting is not None
    assert found.limiting.key == key
    assert found.limiting.reason
    assert found.limiting.change


def test_a_limit_itself_still_passes() -> None:
    observed = replace(GOOD, residue_pct=10, hours_since_tillage=72, soil_c=7, feel=Feel.SLIGHTLY_MOIST)

    assert verdict(observed).readiness is Readiness.READY


def test_sand_may_be_one_class_wetter_than_other_soil() -> None:
    assert verdict(replace(GOOD, texture=Texture.COARSE, feel=Feel.WET)).readiness is Readiness.READY
    assert verdict(replace(GOOD, texture=None, feel=Feel.WET)).readiness is Readiness.WAIT


def test_without_a_feel_test_a_bed_is_never_ready() -> None:
    found = verdict(replace(GOOD, feel=None))

    assert found.readiness is Readiness.WAIT
    assert found.limiting is not None
    assert found.limiting.key == "moisture_unknown"
    assert found.missing == ("moisture",)


def test_a_reason_that_was_seen_is_reported_before_one_that_was_not() -> None:
    found = verdict(SoilObservation(residue_pct=20))

    assert found.limiting is not None
    assert found.limiting.key == "residue_heavy"


def test_an_empty_check_waits_for_a_feel_test_and_lists_all_factors_as_missing() -> None:
    found = verdict(SoilObservation())

    assert found.readiness is Readiness.WAIT
    assert found.missing == FACTORS


def test_of_equal_reasons_the_one_to_deal_with_first_is_reported() -> None:
    """Wet soil comes before old tillage: tilling it wet would do harm."""
    found = verdict(replace(GOOD, feel=Feel.WET, hours_since_tillage=500, soil_c=2))

    assert found.limiting is not None
    assert found.limiting.factor == "moisture"


def test_the_farm_sets_its_own_limits() -> None:
    easy = SoilThresholds(residue_wait_pct=60, residue_not_fit_pct=80, wettest_fit=Feel.WET, stones_not_fit=Amount.MANY)

    assert verdict(replace(GOOD, residue_pct=55, feel=Feel.WET), easy).readiness is Readiness.READY
    assert verdict(replace(GOOD, stones=Amount.MANY), easy).readiness is Readiness.WAIT


def test_a_finding_carries_what_was_seen_and_the_limit_for_the_screen_to_print() -> None:
    finding = verdict(replace(GOOD, residue_pct=45)).limiting

    assert finding is not None
    assert (finding.seen, finding.limit) == (45, 30.0)


@given(looks)
def test_the_verdict_is_the_worst_finding(observed: SoilObservation) -> None:
    found = verdict(observed)

    assert found.readiness is max((finding.readiness for finding in found.findings), key=SEVERITY.index)
    assert (found.limiting is None) == (found.readiness is Readiness.READY)


@given(looks)
def test_every_factor_is_either_found_or_missing(observed: SoilObservation) -> None:
    found = verdict(observed)
    seen = {finding.factor for finding in found.findings if finding.key != "moisture_unknown"}

    assert seen | set(found.missing) == set(FACTORS)
    assert not seen & set(found.missing)


@given(looks, st.floats(0, 100), st.floats(0, 100))
def test_more_residue_never_makes_a_bed_fitter(observed: SoilObservation, one_pct: float, other_pct: float) -> None:
    less, more = sorted((one_pct, other_pct))
    lighter, heavier = verdict(replace(observed, residue_pct=less)), verdict(replace(observed, residue_pct=more))

    assert SEVERITY.index(lighter.readiness) <= SEVERITY.index(heavier.readiness)


@given(looks)
def test_looking_at_the_clods_too_never_hides_a_problem(observed: SoilObservation) -> None:
    without_clods = replace(observed, clods=None)

    assert SEVERITY.index(verdict(without_clods).readiness) <= SEVERITY.index(verdict(observed).readiness)


def test_every_finding_says_what_to_do_unless_all_is_well() -> None:
    for readiness, reason, change in SENTENCES.values():
        assert reason.endswith(".")
        assert bool(change) == (readiness is not Readiness.READY)


@pytest.mark.parametrize(
    ("field", "value"),
    [("residue_pct", 101), ("residue_pct", nan), ("hours_since_tillage", -1), ("soil_c", 200)],
)
def test_a_look_refuses_what_no_bed_can_show(field: str, value: float) -> None:
    changed: dict[str, Any] = {field: value}

    with pytest.raises(BadQuantity) as trouble:
        replace(GOOD, **changed)

    assert trouble.value.field == field


@pytest.mark.parametrize(
    ("field", "limits"),
    [
        ("residue_wait_pct", {"residue_wait_pct": 40, "residue_not_fit_pct": 30}),
        ("residue_not_fit_pct", {"residue_not_fit_pct": 130}),
        ("tillage_fresh_h", {"tillage_fresh_h": -1}),
        ("min_soil_c", {"min_soil_c": nan}),
        ("driest_fit", {"driest_fit": Feel.WET}),
        ("driest_fit", {"driest_fit": Feel.MOIST, "wettest_fit_coarse": Feel.DRY}),
        ("stones_wait", {"stones_wait": Amount.MANY}),
        ("clods_wait", {"clods_wait": Amount.SOME, "clods_not_fit": Amount.NONE}),
    ],
)
def test_limits_that_contradict_each_other_are_refused(field: str, limits: dict[str, Any]) -> None:
    with pytest.raises(BadQuantity) as trouble:
        replace(SoilThresholds(), **limits)

    assert trouble.value.field == field
