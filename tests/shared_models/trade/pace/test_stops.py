import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.trade.pace.stops import held_up_s

spans = st.tuples(st.integers(-500, 2000), st.integers(0, 900)).map(lambda each: (each[0], each[0] + each[1]))


@pytest.mark.parametrize(
    ("stops", "held"),
    [
        ([], []),
        ([(300, 480)], [180]),
        ([(1200, 1680)], [120]),
        ([(-60, 60)], [60]),
        ([(1400, 1500)], [0]),
        ([(300, 600), (480, 720)], [300, 120]),
        ([(480, 720), (300, 600)], [120, 300]),
        ([(300, 900), (400, 500), (800, 1000)], [600, 0, 100]),
        ([(-100, 5000)], [1320]),
    ],
)
def test_a_stop_counts_within_its_row_and_once(stops: list[tuple[float, float]], held: list[float]) -> None:
    """In a row of 22 minutes."""
    assert held_up_s(stops, 1320) == held


@given(st.lists(spans, max_size=8), st.integers(0, 1500))
def test_together_they_take_the_time_that_any_of_them_covers(stops: list[tuple[int, int]], row_s: int) -> None:
    stopped = {second for began, ended in stops for second in range(began, ended)}

    assert sum(held_up_s(stops, row_s)) == len(stopped & set(range(row_s)))
