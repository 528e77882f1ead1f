from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.core.moments import SAME_SETTING, Moment, Timeline, elapsed_s, on_clock

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
HOUR_MS = 3_600_000


def moment(hour: float, boot: str = "a", *, wrong: timedelta = timedelta()) -> Moment:
    """A moment `hour` hours after a boot at noon, on a wall clock that is `wrong` by so much."""
    return Moment(NOON + timedelta(hours=hour) + wrong, boot, round(hour * HOUR_MS))


def test_within_one_boot_the_boot_clock_tells_how_long_it_took() -> None:
    assert elapsed_s(moment(0), moment(0.5, wrong=timedelta(days=-4000))) == 1800


def test_over_a_reboot_the_wall_clock_tells_how_long_it_took() -> None:
    assert elapsed_s(moment(0, "a"), Moment(NOON + timedelta(minutes=7), "b", 5)) == 420


def test_without_a_boot_the_wall_clock_tells_how_long_it_took() -> None:
    assert elapsed_s(Moment(NOON), Moment(NOON + timedelta(minutes=7))) == 420


def test_later_means_both_clocks() -> None:
    begun = moment(1)

    assert begun.later(90.25) == Moment(begun.at + timedelta(seconds=90.25), "a", HOUR_MS + 90_250)
    assert begun.later(90.25).later(-90.25) == begun
    assert Moment(NOON).later(60) == Moment(NOON + timedelta(minutes=1))


def test_a_time_in_another_zone_is_the_same_time() -> None:
    in_tokyo = (NOON + timedelta(minutes=7)).astimezone(timezone(timedelta(hours=9)))

    assert elapsed_s(Moment(NOON), Moment(in_tokyo)) == 420


def test_a_clock_set_wrong_in_the_middle_of_the_day_is_set_right() -> None:
    """Four moments on the right clock and two after it was set to 1970: all six come out in order."""
    right = [moment(hour) for hour in (1, 2, 3, 4)]
    wrong = [moment(hour, wrong=datetime(1970, 1, 1, tzinfo=UTC) - NOON) for hour in (5, 6)]

    timeline = Timeline([*wrong, *right])

    assert [timeline.at(each) for each in (*right, *wrong)] == [NOON + timedelta(hours=hour) for hour in range(1, 7)]


def test_of_two_equally_common_clock_settings_the_earlier_holds() -> None:
    ahead = timedelta(hours=3)
    timeline = Timeline([moment(2, wrong=ahead), moment(1), moment(3, wrong=ahead), moment(0.5)])

    assert timeline.at(moment(2, wrong=ahead)) == NOON + timedelta(hours=2)
    assert timeline.at(moment(1)) == NOON + timedelta(hours=1)


def test_a_small_clock_correction_by_the_network_changes_no_times() -> None:
    nudged = moment(2, wrong=SAME_SETTING)

    timeline = Timeline([moment(1), nudged])

    assert timeline.at(nudged) == nudged.at


def test_boots_are_set_right_one_by_one() -> None:
    wrong = timedelta(days=1)
    timeline = Timeline([moment(1, "a"), moment(1, "b", wrong=wrong)])

    assert timeline.at(moment(2, "b", wrong=wrong)) == NOON + timedelta(hours=2) + wrong


@pytest.mark.parametrize("alone", [Moment(NOON), moment(1, "never seen")])
def test_a_moment_that_nothing_can_be_said_of_keeps_its_own_time(alone: Moment) -> None:
    timeline = Timeline([moment(1, "a", wrong=timedelta(days=9)), Moment(NOON - timedelta(days=9))])

    assert timeline.at(alone) == alone.at


def test_the_time_comes_out_in_utc() -> None:
    in_tokyo = Moment(NOON.astimezone(timezone(timedelta(hours=9))))

    assert Timeline([]).at(in_tokyo).utcoffset() == timedelta()


moments = st.builds(
    Moment,
    st.datetimes(timezones=st.just(UTC)),
    st.sampled_from(["", "a", "b"]),
    st.integers(0, 2**53 - 1) | st.integers(0, 10 * HOUR_MS),
)


@given(st.lists(moments, max_size=8), st.lists(moments, max_size=3))
def test_no_moment_however_absurd_stops_the_timeline(known: list[Moment], query: list[Moment]) -> None:
    timeline = Timeline(known)

    assert all(timeline.at(each).utcoffset() == timedelta() for each in (*known, *query))


@given(st.lists(moments, max_size=8, unique_by=lambda each: (each.boot, each.boot_ms)), st.randoms())
def test_the_order_in_which_moments_are_known_does_not_matter(known: list[Moment], random: object) -> None:
    shuffled = list(known)
    random.shuffle(shuffled)  # type: ignore[attr-defined]  # hypothesis gives a random.Random

    assert [Timeline(known).at(each) for each in known] == [Timeline(shuffled).at(each) for each in known]


def test_a_moment_at_the_end_of_the_calendar_has_no_clock_but_utc() -> None:
    east, west = timezone(timedelta(hours=9)), timezone(timedelta(hours=-4))
    first, last = datetime(1, 1, 1, tzinfo=UTC), datetime(9999, 12, 31, 23, 59, tzinfo=UTC)

    assert on_clock(NOON, west).hour == 8
    assert [on_clock(first, west), on_clock(last, east)] == [first, last]
