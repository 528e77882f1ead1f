from datetime import date
from typing import Any

import pytest

from shared_models.errors import BadQuantity
from shared_models.trade.planning.conflicts import (
    ConflictKind,
    age_conflict,
    bed_conflicts,
    bench_conflicts,
    hour_conflicts,
    late_planting,
    late_sowings,
    tray_conflicts,
)
from shared_models.trade.planning.sowing_plan import (
    BenchWeek,
    FarmRates,
    PlantingWish,
    Sowing,
    Week,
    WeekHours,
    plan_sowing,
)
from shared_models.trade.raising.growing_time import Guide, Window

RATES = FarmRates(mix_l_per_tray=4.5, tray_m2=0.18, trays_sown_per_h=12, row_mm_per_h=240_000)
WEEK = Week(2026, 19)


def sowing(planting: str, plant_on: date, free_on: date | None, **changed: Any) -> Sowing:
    fields: dict[str, Any] = {
        "planting": planting,
        "bed": "B1",
        "crop": "lettuce",
        "plant_on": plant_on,
        "rows": 4,
        "row_mm": 30_000,
        "spacing_mm": 152.4,
        "grow_days": 28,
        "bed_free_on": free_on,
    }
    return plan_sowing(PlantingWish(**(fields | changed)), RATES)


MAY = sowing("May", date(2026, 5, 1), date(2026, 6, 15))


@pytest.mark.parametrize(
    ("plant_on", "turnaround", "clash"),
    [
        (date(2026, 5, 1), 0, True),
        (date(2026, 6, 14), 0, True),
        (date(2026, 6, 15), 0, False),
        (date(2026, 6, 16), 2, True),
        (date(2026, 6, 17), 2, False),
    ],
)
def test_a_bed_is_free_from_its_free_day_and_the_days_to_make_it_ready(
    plant_on: date, turnaround: int, clash: bool
) -> None:
    second = sowing("June", plant_on, date(2026, 8, 1))

    got = bed_conflicts([second, MAY], turnaround)

    assert bool(got) is clash
    if clash:
        assert got[0].kind is ConflictKind.BED_TWICE
        assert (got[0].bed, got[0].begins) == ("B1", plant_on)
        assert set(got[0].plantings) == {"May", "June"}


def test_another_bed_is_no_conflict() -> None:
    assert bed_conflicts([MAY, sowing("Other", date(2026, 5, 1), None, bed="B2")]) == []


def test_a_planting_without_a_free_day_holds_its_bed_for_good() -> None:
    forever = sowing("Leeks", date(2026, 4, 1), None)

    assert [c.plantings for c in bed_conflicts([MAY, forever])] == [("Leeks", "May")]


def test_a_planting_that_takes_no_time_still_cannot_share_its_day() -> None:
    one = sowing("A", date(2026, 5, 1), date(2026, 5, 1))
    two = sowing("B", date(2026, 5, 1), date(2026, 5, 1))

    assert len(bed_conflicts([one, two])) == 1


def test_every_pair_is_named_once() -> None:
    three = [sowing(name, date(2026, 5, day), date(2026, 7, 1)) for day, name in enumerate("ABC", start=1)]

    assert [c.plantings for c in bed_conflicts(three)] == [("A", "B"), ("A", "C"), ("B", "C")]


def test_a_bench_is_full_when_it_needs_more_room_than_there_is() -> None:
    weeks = [BenchWeek(WEEK, 40, 7.2), BenchWeek(Week(2026, 20), 41, 7.4)]

    got = bench_conflicts(weeks, 40)

    assert [(c.kind, c.begins, c.needed, c.available) for c in got] == [
        (ConflictKind.BENCH_FULL, date(2026, 5, 11), 41, 40)
    ]


def test_a_week_is_short_when_it_needs_more_hours_than_there_are() -> None:
    weeks = [WeekHours(WEEK, 10, 5, 5.5), WeekHours(Week(2026, 20), 10, 5, 5)]

    got = hour_conflicts(weeks, 20)

    assert [(c.kind, c.begins, c.needed, c.available) for c in got] == [
        (ConflictKind.HOURS_SHORT, date(2026, 5, 4), 20.5, 20)
    ]


def test_a_week_with_other_hands_is_held_against_those() -> None:
    weeks = [WeekHours(WEEK, 10, 5, 5.5)]

    assert hour_conflicts(weeks, 20, {WEEK: 30}) == []
    assert hour_conflicts(weeks, 30, {WEEK: 10})[0].available == 10


def test_hours_that_are_there_to_the_last_are_enough() -> None:
    """Three times a tenth is a hair more than three tenths, as a double has it."""
    assert hour_conflicts([WeekHours(WEEK, 0.1, 0.1, 0.1)], 0.3) == []


def test_a_sowing_day_that_has_gone_by_is_reported_until_it_is_sown() -> None:
    assert late_sowings([MAY], MAY.sow_on) == []
    assert [(c.kind, c.needed) for c in late_sowings([MAY], date(2026, 4, 6))] == [(ConflictKind.SOWING_PAST, 3)]
    assert late_sowings([MAY], date(2026, 4, 6), frozenset({"May"})) == []


def test_a_planting_day_that_has_gone_by_is_reported() -> None:
    day = date(2026, 5, 1)

    late = late_planting("May", day, date(2026, 5, 4))

    assert late_planting("May", day, day) is None
    assert late is not None
    assert (late.kind, late.begins, late.needed) == (ConflictKind.PLANTING_PAST, day, 3)


@pytest.mark.parametrize(
    ("day", "kind", "days"),
    [
        (9, ConflictKind.TOO_YOUNG, 1),
        (10, None, 0),
        (20, None, 0),
        (22, ConflictKind.TOO_OLD, 2),
    ],
)
def test_trays_are_right_within_their_window_and_neither_before_nor_after(
    day: int, kind: ConflictKind | None, days: int
) -> None:
    window = Window(date(2026, 5, 10), date(2026, 5, 20), Guide.FARM)

    got = age_conflict("May", date(2026, 5, day), window)

    assert (got.kind, got.needed, got.plantings) == (kind, days, ("May",)) if got else kind is None


def test_the_earlier_planting_takes_its_trays_first() -> None:
    """Each needs 3 trays of 264 cells for 788 plants."""
    june = sowing("June", date(2026, 6, 1), None)

    got = tray_conflicts([june, MAY], 5)

    assert [(c.plantings, c.begins, c.needed, c.available) for c in got] == [(("June",), date(2026, 6, 1), 3, 2)]
    assert tray_conflicts([june, MAY], 6) == []
    assert [c.available for c in tray_conflicts([june, MAY], 1)] == [1, 0]


def test_each_conflict_says_what_and_when_in_one_line() -> None:
    bed = bed_conflicts([MAY, sowing("June", date(2026, 6, 1), None)])[0].sentence
    bench = bench_conflicts([BenchWeek(WEEK, 41, 7)], 40)[0].sentence
    hours = hour_conflicts([WeekHours(WEEK, 41.25)], 40)[0].sentence
    late = late_sowings([MAY], date(2026, 4, 6))[0].sentence

    assert all(word in bed for word in ("B1", "May", "June", "2026-06-01"))
    assert all(word in bench for word in ("41", "40", "2026-05-04"))
    assert all(word in hours for word in ("41.2", "40.0", "2026-05-04"))
    assert all(word in late for word in ("May", "2026-04-03", "not. Plant"))


def test_impossible_room_hours_and_days_are_refused() -> None:
    with pytest.raises(BadQuantity):
        bench_conflicts([], -1)
    with pytest.raises(BadQuantity):
        hour_conflicts([], -1)
    with pytest.raises(BadQuantity):
        hour_conflicts([], 1, {WEEK: -1})
    with pytest.raises(BadQuantity):
        bed_conflicts([], -1)
    with pytest.raises(BadQuantity):
        tray_conflicts([], -1)
