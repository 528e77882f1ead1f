import math
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.units import feet_to_mm, inches_to_mm
from shared_models.errors import BadQuantity
from shared_models.trade.planning.sowing_plan import (
    FarmRates,
    PlantingWish,
    Sowing,
    Week,
    bench_by_week,
    hours_by_week,
    plan_sowing,
    totals,
)

RATES = FarmRates(
    mix_l_per_tray=4.5,
    tray_m2=0.18,
    trays_sown_per_h=12,
    row_mm_per_h=feet_to_mm(800),
    tending_h_per_tray_week=0.07,
)


def wish(**changed: Any) -> PlantingWish:
    """Five rows of 100 ft of scallions at 2 in: 3,000 plants, 12 trays."""
    fields: dict[str, Any] = {
        "planting": "P1",
        "bed": "B1",
        "crop": "scallion",
        "plant_on": date(2026, 5, 4),
        "rows": 5,
        "row_mm": feet_to_mm(100),
        "spacing_mm": inches_to_mm(2),
        "grow_days": 56,
    }
    return PlantingWish(**(fields | changed))


def sowing(**changed: Any) -> Sowing:
    return plan_sowing(wish(**changed), RATES)


def test_a_bed_is_worked_back_to_its_sowing() -> None:
    got = sowing(seeds_per_cell=3, germination=0.8)

    assert got.sow_on == date(2026, 3, 9)
    assert (got.plants, got.trays, got.extra_trays) == (3000, 12, 0)
    assert got.seeds == 12 * 264 * 3
    assert got.empty_cells == pytest.approx(12 * 264 * 0.008)
    assert got.chain_mm == pytest.approx(12 * feet_to_mm(44))
    assert got.row_mm == pytest.approx(feet_to_mm(500))
    assert got.mix_l == 54


def test_plants_that_fill_their_trays_exactly_take_no_further_tray() -> None:
    got = sowing(rows=1, row_mm=feet_to_mm(88), spacing_mm=inches_to_mm(2))

    assert (got.plants, got.trays) == (528, 2)


def test_poor_seed_takes_extra_trays_when_the_stand_must_be_sure() -> None:
    sure, plain = sowing(germination=0.8, surely=0.95), sowing(germination=0.8)

    assert sure.trays == plain.trays + sure.extra_trays
    assert sure.extra_trays >= 3
    assert sure.seeds == sure.trays * 264


def test_a_row_too_short_for_a_plant_needs_nothing() -> None:
    got = sowing(rows=1, row_mm=10, surely=0.9)

    assert (got.plants, got.trays, got.seeds, got.mix_l) == (0, 0, 0, 0)


def test_trays_stand_on_the_bench_from_sowing_to_the_day_before_planting() -> None:
    weeks = bench_by_week([sowing()], RATES)

    assert [week.week for week in weeks] == [Week(2026, number) for number in range(11, 19)]
    assert {week.trays for week in weeks} == {12}
    assert weeks[0].area_m2 == pytest.approx(12 * 0.18)


def test_the_fullest_day_of_a_week_counts() -> None:
    """One planting leaves on Wednesday and another is sown on Thursday: they never share the bench."""
    leaves = sowing(plant_on=date(2026, 5, 6), grow_days=20)
    comes = sowing(plant_on=date(2026, 5, 27), grow_days=20)
    overlaps = sowing(plant_on=date(2026, 5, 25), grow_days=20)
    week = Week.of(date(2026, 5, 6))

    apart = {line.week: line.trays for line in bench_by_week([leaves, comes], RATES)}
    together = {line.week: line.trays for line in bench_by_week([leaves, overlaps], RATES)}

    assert apart[week] == 12
    assert together[week] == 24


def test_weeks_without_trays_are_listed_as_empty() -> None:
    spring = sowing(grow_days=7)
    autumn = sowing(plant_on=date(2026, 6, 8), grow_days=7)

    assert [line.trays for line in bench_by_week([spring, autumn], RATES)] == [12, 0, 0, 0, 0, 12]


def test_an_empty_plan_has_no_weeks() -> None:
    assert bench_by_week([], RATES) == []
    assert hours_by_week([], RATES) == []


def test_hours_fall_in_the_week_of_the_work() -> None:
    hours = hours_by_week([sowing()], RATES)

    assert hours[0].sowing_h == pytest.approx(1)
    assert hours[-1].week == Week.of(date(2026, 5, 4))
    assert hours[-1].planting_h == pytest.approx(500 / 800)
    assert hours[0].tending_h == pytest.approx(12 * 0.07)
    assert hours[-1].tending_h == 0


plans = st.lists(
    st.builds(
        wish,
        plant_on=st.dates(date(2025, 12, 1), date(2026, 12, 31)),
        grow_days=st.integers(0, 90),
        rows=st.integers(1, 8),
        row_mm=st.floats(1_000, 60_000),
        spacing_mm=st.sampled_from([inches_to_mm(2), inches_to_mm(4), inches_to_mm(6)]),
        seeds_per_cell=st.integers(1, 4),
        crop=st.sampled_from(["onion", "leek"]),
    ),
    max_size=6,
)


@given(plans)
def test_the_weeks_add_up_to_the_whole_work(wishes: list[PlantingWish]) -> None:
    sowings = [plan_sowing(each, RATES) for each in wishes]

    hours = hours_by_week(sowings, RATES)

    sown = sum(s.trays for s in sowings) / 12
    planted = sum(s.row_mm for s in sowings) / feet_to_mm(800)
    tended = sum(s.trays * s.wish.grow_days for s in sowings) * 0.07 / 7
    assert math.fsum(week.sowing_h for week in hours) == pytest.approx(sown)
    assert math.fsum(week.planting_h for week in hours) == pytest.approx(planted)
    assert math.fsum(week.tending_h for week in hours) == pytest.approx(tended)
    assert math.fsum(week.total_h for week in hours) == pytest.approx(sown + planted + tended)
    assert [week.week.monday for week in hours] == sorted({week.week.monday for week in hours})


@given(plans)
def test_the_totals_are_the_sums_of_the_sowings(wishes: list[PlantingWish]) -> None:
    sowings = [plan_sowing(each, RATES) for each in wishes]

    got = totals(sowings)

    assert got.plants == sum(s.plants for s in sowings)
    assert got.trays == sum(s.trays for s in sowings)
    assert sum(got.seeds.values()) == sum(s.seeds for s in sowings)
    assert set(got.seeds) == {s.wish.crop for s in sowings}
    assert got.mix_l == pytest.approx(4.5 * got.trays)
    assert got.chain_mm == pytest.approx(sum(s.chain_mm for s in sowings))


@given(plans)
def test_no_week_shows_more_trays_than_are_sown(wishes: list[PlantingWish]) -> None:
    sowings = [plan_sowing(each, RATES) for each in wishes]

    weeks = bench_by_week(sowings, RATES)

    assert all(0 <= week.trays <= sum(s.trays for s in sowings) for week in weeks)


@given(day=st.dates(date(1990, 1, 1), date(2100, 1, 1)))
def test_a_week_begins_on_the_monday_before_its_days(day: date) -> None:
    monday = Week.of(day).monday

    assert monday.weekday() == 0
    assert timedelta(0) <= day - monday < timedelta(7)


def test_new_years_day_may_belong_to_the_old_year() -> None:
    assert Week.of(date(2027, 1, 1)) == Week(2026, 53)


@pytest.mark.parametrize(
    "changed",
    [
        {"grow_days": -1},
        {"germination": 0},
        {"germination": 1.2},
        {"bed_free_on": date(2026, 5, 3)},
    ],
)
def test_impossible_wishes_are_refused(changed: dict[str, Any]) -> None:
    with pytest.raises(BadQuantity):
        wish(**changed)


@pytest.mark.parametrize(
    "changed", [{"rows": 0}, {"row_mm": -1}, {"spacing_mm": 0}, {"seeds_per_cell": 0}, {"surely": 1.0}]
)
def test_impossible_beds_are_refused(changed: dict[str, Any]) -> None:
    with pytest.raises(BadQuantity):
        sowing(**changed)


@pytest.mark.parametrize(
    "changed", [{"trays_sown_per_h": 0}, {"row_mm_per_h": -1}, {"mix_l_per_tray": math.nan}, {"tray_m2": -0.1}]
)
def test_rates_that_never_get_done_are_refused(changed: dict[str, float]) -> None:
    fields = {"mix_l_per_tray": 4.5, "tray_m2": 0.18, "trays_sown_per_h": 12, "row_mm_per_h": 1000} | changed

    with pytest.raises(BadQuantity):
        FarmRates(**fields)


def test_a_rate_that_the_farm_cannot_tell_gives_no_hours() -> None:
    rates = FarmRates(mix_l_per_tray=0, tray_m2=0, trays_sown_per_h=None, row_mm_per_h=None)

    assert [week.total_h for week in hours_by_week([sowing()], rates)] == [0.0] * len(hours_by_week([sowing()], RATES))
