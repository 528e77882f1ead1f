import math
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.planning.succession import Succession, harvest_day, planting_dates, successions

YEAR = [date(2026, 1, 1) + timedelta(days) for days in range(365)]
#: A made-up year: 2 degree-days a day in January, 18 in July.
SEASON = {day: 10 - 8 * math.cos(2 * math.pi * (day - YEAR[0]).days / 365) for day in YEAR}
CALENDAR = dict.fromkeys(YEAR, 1.0)


def test_plantings_come_every_so_many_days_up_to_the_last() -> None:
    assert planting_dates(date(2026, 4, 1), date(2026, 4, 29), 14) == [
        date(2026, 4, 1),
        date(2026, 4, 15),
        date(2026, 4, 29),
    ]


def test_the_first_and_last_day_may_be_the_same() -> None:
    assert planting_dates(date(2026, 4, 1), date(2026, 4, 1), 14) == [date(2026, 4, 1)]


def test_plain_days_make_the_harvests_as_far_apart_as_the_plantings() -> None:
    got = successions(planting_dates(date(2026, 4, 1), date(2026, 6, 1), 10), 50, CALENDAR)

    assert {line.harvest_gap_days for line in got[1:]} == {10}
    assert got[0] == Succession(date(2026, 4, 1), date(2026, 5, 20), None)


def test_spring_plantings_bunch_up_and_autumn_plantings_drift_apart() -> None:
    spring = successions(planting_dates(date(2026, 3, 1), date(2026, 5, 1), 14), 600, SEASON)
    autumn = successions(planting_dates(date(2026, 7, 1), date(2026, 8, 26), 14), 600, SEASON)

    assert all(line.harvest_gap_days is not None and line.harvest_gap_days < 14 for line in spring[1:])
    assert all(line.harvest_gap_days is not None and line.harvest_gap_days > 14 for line in autumn[1:])


def test_a_harvest_beyond_the_days_given_is_unknown() -> None:
    got = successions([date(2026, 11, 1), date(2026, 6, 1)], 600, SEASON)

    assert [line.plant_on for line in got] == [date(2026, 6, 1), date(2026, 11, 1)]
    assert (got[1].harvest_on, got[1].harvest_gap_days) == (None, None)


def test_no_planting_has_no_succession() -> None:
    assert successions([], 600, SEASON) == []


def test_ten_days_of_a_tenth_make_one() -> None:
    assert harvest_day(YEAR[0], 1.0, dict.fromkeys(YEAR, 0.1)) == YEAR[9]


@given(start=st.integers(0, 200), needed=st.floats(1, 1000))
def test_planting_later_never_harvests_earlier(start: int, needed: float) -> None:
    sooner, later = harvest_day(YEAR[start], needed, SEASON), harvest_day(YEAR[start + 1], needed, SEASON)

    assert later is None or (sooner is not None and sooner <= later)


@pytest.mark.parametrize("needed", [0, -1, math.nan])
def test_a_crop_that_needs_nothing_is_refused(needed: float) -> None:
    with pytest.raises(BadQuantity):
        harvest_day(YEAR[0], needed, SEASON)


def test_a_day_that_takes_growth_back_is_refused() -> None:
    with pytest.raises(BadQuantity):
        harvest_day(YEAR[0], 5, {YEAR[0]: -1})


def test_a_series_that_ends_before_it_begins_or_stands_still_is_refused() -> None:
    with pytest.raises(BadQuantity):
        planting_dates(date(2026, 4, 2), date(2026, 4, 1), 7)
    with pytest.raises(BadQuantity):
        planting_dates(date(2026, 4, 1), date(2026, 4, 2), 0)
