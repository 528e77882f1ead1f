import math
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.vocabulary import StopReason
from shared_models.errors import BadQuantity
from shared_models.trade.pace.pace import (
    LONGEST_TURN_S,
    StopTotal,
    TimedRow,
    Work,
    by_hour,
    stops_by_reason,
    turns,
    work,
)

NEW_YORK = ZoneInfo("America/New_York")
MORNING = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)  # 08:00 in New York
FIELDS = ("rows", "length_mm", "plants", "row_time_s", "stop_time_s", "turn_time_s", "person_s")


def row(  # a 100-ft row at 2 in, by one person in ten minutes, unless told otherwise
    start: datetime = MORNING,
    duration_s: float = 600.0,
    stopped_s: float = 0.0,
    length_mm: float = 30_480.0,
    spacing_mm: float = 50.8,
    crew: int = 1,
    turn_s: float = 0.0,
) -> TimedRow:
    return TimedRow(start, duration_s, stopped_s, length_mm, spacing_mm, crew, turn_s)


def total(rows: Iterable[TimedRow]) -> Work:
    return Work.together(map(work, rows))


@st.composite
def timed_rows(draw: st.DrawFn) -> TimedRow:
    duration = draw(st.floats(0, 20_000))
    return row(
        start=datetime(2025, 1, 1, tzinfo=UTC) + timedelta(minutes=draw(st.integers(0, 700_000))),
        duration_s=duration,
        stopped_s=duration * draw(st.floats(0, 1)),
        length_mm=draw(st.floats(0, 200_000)),
        spacing_mm=draw(st.sampled_from([50.8, 101.6, 152.4])),
        crew=draw(st.integers(1, 6)),
        turn_s=draw(st.floats(0, LONGEST_TURN_S)),
    )


def test_a_row_without_stops_works_all_its_time() -> None:
    done = work(row())

    assert done == Work(rows=1.0, length_mm=30_480.0, plants=30_480.0 / 50.8, row_time_s=600.0, person_s=600.0)
    assert done.working_mm_per_h == done.effective_mm_per_h == pytest.approx(182_880.0)
    assert done.plants_per_h == pytest.approx(3600.0)


def test_stops_and_turns_lower_the_effective_rate_but_not_the_working_rate() -> None:
    done = work(row(duration_s=720.0, stopped_s=120.0, turn_s=80.0))

    assert done.field_time_s == 800.0
    assert done.working_mm_per_h == pytest.approx(182_880.0)
    assert done.effective_mm_per_h == pytest.approx(137_160.0)
    assert done.field_efficiency == 0.75


def test_two_people_halve_the_rate_of_each_person() -> None:
    alone, pair = work(row()), work(row(crew=2))

    assert pair.effective_mm_per_h == alone.effective_mm_per_h
    assert pair.mm_per_person_h == pytest.approx((alone.mm_per_person_h or 0) / 2)
    assert pair.plants_per_person_h == pytest.approx((alone.plants_per_person_h or 0) / 2)


def test_each_row_weighs_by_its_own_crew() -> None:
    """A row with three people and a row with one share the person-hours 3 to 1, not by a mean crew of two."""
    done = total([row(duration_s=600.0, crew=3), row(duration_s=1800.0, crew=1)])

    assert done.person_s == 3600.0
    assert done.mm_per_person_h == pytest.approx(60_960.0)


def test_a_rate_over_no_time_is_unknown() -> None:
    nothing = Work()

    assert nothing.working_mm_per_h is None
    assert nothing.effective_mm_per_h is None
    assert nothing.field_efficiency is None
    assert nothing.mm_per_person_h is None
    assert nothing.plants_per_h is None
    assert nothing.plants_per_person_h is None


def test_a_row_stopped_all_its_time_has_an_effective_rate_and_no_working_rate() -> None:
    done = work(row(stopped_s=600.0))

    assert done.working_mm_per_h is None
    assert done.effective_mm_per_h == pytest.approx(182_880.0)
    assert done.field_efficiency == 0.0


def test_the_rate_of_a_sum_is_not_the_mean_of_rates() -> None:
    done = total([row(duration_s=600.0), row(duration_s=1800.0)])

    assert done.effective_mm_per_h == pytest.approx(60_960 / 2400 * 3600)


def test_field_time_with_turns_runs_from_first_start_to_last_end() -> None:
    rows = [row(MORNING + timedelta(minutes=15 * n), duration_s=600.0) for n in range(5)]

    assert total(turns(rows)).field_time_s == 4 * 900 + 600


def test_turning_belongs_to_the_row_that_follows() -> None:
    first, second = turns([row(), row(MORNING + timedelta(seconds=690))])

    assert (first.turn_s, second.turn_s) == (0.0, 90.0)


def test_rows_are_put_in_order_before_turns_are_read() -> None:
    late, early = row(MORNING + timedelta(seconds=700)), row()

    assert [each.start for each in turns([late, early])] == [early.start, late.start]


@pytest.mark.parametrize(("gap_s", "turn_s"), [(1800.0, 1800.0), (1800.001, 0.0), (7200.0, 0.0)])
def test_a_gap_above_the_longest_turn_is_a_break(gap_s: float, turn_s: float) -> None:
    rows = turns([row(), row(MORNING + timedelta(seconds=600 + gap_s))])

    assert rows[1].turn_s == turn_s


def test_the_farm_sets_the_longest_turn() -> None:
    rows = [row(), row(MORNING + timedelta(seconds=900))]

    assert turns(rows, longest_turn_s=299.0)[1].turn_s == 0.0
    assert turns(rows, longest_turn_s=300.0)[1].turn_s == 300.0


def test_overlapping_rows_have_no_turn() -> None:
    assert turns([row(), row(MORNING + timedelta(seconds=300))])[1].turn_s == 0.0


def test_a_turn_counts_from_the_latest_end_so_far() -> None:
    """A short row inside a long one must not make the long one's time count again as turning."""
    long, inside, after = (
        row(),
        row(MORNING + timedelta(seconds=60), duration_s=60),
        row(MORNING + timedelta(seconds=660)),
    )

    assert [each.turn_s for each in turns([long, inside, after])] == [0.0, 0.0, 60.0]


def test_turns_replace_what_a_row_brought_along() -> None:
    assert turns([row(turn_s=500.0)])[0].turn_s == 0.0


def test_no_rows_have_no_turns() -> None:
    assert turns([]) == []
    assert total([]) == Work()


def test_a_gap_over_the_clock_change_is_real_time() -> None:
    """In one zone Python subtracts by the wall clock: 01:55 to 03:05 on a spring night would be 70 minutes."""
    before = row(datetime(2026, 3, 8, 1, 45, tzinfo=NEW_YORK))
    after = row(datetime(2026, 3, 8, 3, 5, tzinfo=NEW_YORK))

    assert turns([before, after])[1].turn_s == 600.0


@given(st.lists(timed_rows(), max_size=8))
def test_turns_change_nothing_but_turns_and_lie_between_zero_and_the_longest(rows: list[TimedRow]) -> None:
    timed = turns(rows)

    assert sorted(r.start for r in rows) == [r.start for r in timed]
    assert total(timed).row_time_s == pytest.approx(total(rows).row_time_s)
    assert all(0.0 <= r.turn_s <= LONGEST_TURN_S for r in timed)


@given(st.lists(timed_rows(), max_size=8), st.integers(0, 8))
def test_work_of_parts_adds_up_to_the_whole(rows: list[TimedRow], cut: int) -> None:
    whole, parts = total(rows), total(rows[:cut]) + total(rows[cut:])

    for field in FIELDS:
        assert getattr(parts, field) == pytest.approx(getattr(whole, field))


@given(timed_rows())
def test_effective_rate_is_working_rate_times_efficiency(timed: TimedRow) -> None:
    done = work(timed)

    if done.working_mm_per_h and done.effective_mm_per_h and math.isfinite(done.working_mm_per_h):
        assert done.field_efficiency is not None
        assert done.effective_mm_per_h == pytest.approx(done.working_mm_per_h * done.field_efficiency)


def test_a_row_that_crosses_an_hour_is_split_in_proportion_to_time() -> None:
    crossing = row(MORNING + timedelta(minutes=50), duration_s=1800.0, stopped_s=300.0, crew=2)

    eight, nine = by_hour([crossing], NEW_YORK).items()

    assert [hour.hour for hour in (eight[0], nine[0])] == [8, 9]
    assert (eight[1].rows, nine[1].rows) == pytest.approx((1 / 3, 2 / 3))
    assert (eight[1].length_mm, nine[1].length_mm) == pytest.approx((10_160.0, 20_320.0))
    assert (eight[1].row_time_s, eight[1].stop_time_s) == pytest.approx((500.0, 100.0))
    assert (eight[1].person_s, nine[1].person_s) == pytest.approx((1200.0, 2400.0))


def test_a_turn_counts_in_the_hour_before_the_start() -> None:
    eight, nine = by_hour([row(MORNING + timedelta(minutes=60), turn_s=120.0, crew=3)], NEW_YORK).values()

    assert (eight.turn_time_s, eight.rows, eight.person_s) == (120.0, 0.0, 360.0)
    assert (nine.turn_time_s, nine.rows, nine.person_s) == (0.0, 1.0, 1800.0)


def test_a_row_that_ends_on_the_hour_stays_in_its_hour() -> None:
    assert [hour.hour for hour in by_hour([row(MORNING + timedelta(minutes=50))], NEW_YORK)] == [8]


def test_a_row_of_no_duration_lies_in_the_hour_of_its_start() -> None:
    ((hour, done),) = by_hour([row(MORNING + timedelta(hours=1), duration_s=0.0)], NEW_YORK).items()

    assert hour == MORNING + timedelta(hours=1)
    assert (done.rows, done.length_mm) == (1.0, 30_480.0)


def test_both_one_o_clocks_of_an_autumn_night_are_kept() -> None:
    night = row(datetime(2025, 11, 2, 4, 30, tzinfo=UTC), duration_s=3 * 3600.0)

    hours = by_hour([night], NEW_YORK)

    assert [hour.isoformat() for hour in hours] == [
        "2025-11-02T00:00:00-04:00",
        "2025-11-02T01:00:00-04:00",
        "2025-11-02T01:00:00-05:00",
        "2025-11-02T02:00:00-05:00",
    ]
    assert [done.row_time_s for done in hours.values()] == pytest.approx([1800.0, 3600.0, 3600.0, 1800.0])


@pytest.mark.parametrize(("day", "hours"), [((2025, 3, 9), 23), ((2025, 11, 2), 25), ((2025, 7, 1), 24)])
def test_a_day_has_as_many_hours_as_the_clock_gives_it(day: tuple[int, int, int], hours: int) -> None:
    midnight = datetime(*day, tzinfo=NEW_YORK)
    next_midnight = (midnight + timedelta(days=1)).astimezone(UTC)
    whole_day = row(midnight, duration_s=(next_midnight - midnight.astimezone(UTC)).total_seconds())

    assert len(by_hour([whole_day], NEW_YORK)) == hours


@given(
    st.lists(timed_rows(), max_size=5),
    st.sampled_from(["UTC", "America/New_York", "Asia/Kathmandu", "Australia/Lord_Howe", "America/St_Johns"]),
)
def test_hours_add_up_to_the_whole_in_every_zone(rows: list[TimedRow], zone: str) -> None:
    whole, hours = total(rows), by_hour(rows, ZoneInfo(zone))

    summed = sum(hours.values(), Work())

    for field in FIELDS:
        assert getattr(summed, field) == pytest.approx(getattr(whole, field), rel=1e-9, abs=1e-6)
    assert list(hours) == sorted(hours)


def test_stops_are_reported_by_reason_with_the_costliest_first() -> None:
    stops = [(StopReason.REST, 60.0), (StopReason.TRAY_CHANGE, 45.0), (StopReason.TRAY_CHANGE, 50.0)]

    result = stops_by_reason(stops)

    assert list(result.items()) == [(StopReason.TRAY_CHANGE, StopTotal(95.0, 2)), (StopReason.REST, StopTotal(60.0, 1))]


def test_no_stops_have_no_reasons() -> None:
    assert stops_by_reason([]) == {}


@given(st.lists(st.tuples(st.sampled_from(StopReason), st.floats(0, 1e6))))
def test_stops_by_reason_keep_every_second_and_every_stop(stops: list[tuple[StopReason, float]]) -> None:
    result = stops_by_reason(stops).values()

    assert sum(each.seconds for each in result) == pytest.approx(sum(seconds for _, seconds in stops))
    assert sum(each.count for each in result) == len(stops)
    assert [each.seconds for each in result] == sorted((each.seconds for each in result), reverse=True)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("duration_s", -1.0),
        ("duration_s", math.nan),
        ("duration_s", math.inf),
        ("stopped_s", 600.1),
        ("stopped_s", -0.1),
        ("length_mm", -1.0),
        ("length_mm", math.inf),
        ("spacing_mm", 0.0),
        ("crew", 0),
        ("turn_s", -1.0),
        ("turn_s", math.nan),
    ],
)
def test_a_row_that_cannot_be_is_refused(field: str, value: float) -> None:
    with pytest.raises(BadQuantity) as refused:
        row(**{field: value})  # type: ignore[arg-type]

    assert refused.value.field == field


def test_a_start_without_a_zone_is_refused() -> None:
    with pytest.raises(BadQuantity, match="start"):
        row(MORNING.replace(tzinfo=None))


def test_bad_settings_and_stops_are_refused() -> None:
    with pytest.raises(BadQuantity, match="longest_turn_s"):
        turns([], longest_turn_s=-1.0)
    with pytest.raises(BadQuantity, match="seconds"):
        stops_by_reason([(StopReason.REST, -1.0)])
