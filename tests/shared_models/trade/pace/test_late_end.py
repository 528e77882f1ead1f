import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared_models.errors import BadQuantity
from shared_models.trade.pace.late_end import part_of, rest_spans, two_rows, usual_end_s

LUNCH = 4360.0
USUAL = 480.0


def test_a_row_ends_when_it_usually_does() -> None:
    assert usual_end_s(USUAL, []) == 480


def test_a_stop_on_the_way_puts_the_usual_end_off() -> None:
    """A tray change of 20 s after 200 s; the stop after an hour came after the row was done."""
    assert usual_end_s(USUAL, [(200, 220), (3600, 3700)]) == 500


def test_the_rest_is_all_beyond_the_usual_and_lies_at_the_end() -> None:
    assert rest_spans(LUNCH, USUAL, []) == [(480, 4360)]


def test_the_rest_makes_room_for_stops() -> None:
    """4360 s with 100 s of stop leave 3780 s of rest: 60 s after the stop, the rest of it before."""
    assert rest_spans(LUNCH, USUAL, [(4200, 4300)]) == [(480, 4200), (4300, 4360)]


def test_a_row_that_was_not_slow_had_no_rest() -> None:
    assert rest_spans(400, USUAL, []) == []
    assert rest_spans(USUAL + 30, USUAL, [(100, 130)]) == []


def test_two_rows_begin_and_end_with_what_was_tapped() -> None:
    assert two_rows(LUNCH, USUAL, []) == (480, 3880)
    assert two_rows(LUNCH, USUAL, [(100, 130), (4300, 4310)]) == (510, 3870)


def test_two_rows_that_would_overlap_meet_in_the_middle() -> None:
    assert two_rows(900, USUAL, []) == (450, 450)


def test_a_stop_is_cut_to_its_row() -> None:
    assert part_of((100, 200), 0, 150) == (100, 150)
    assert part_of((100, 200), 150, 300) == (150, 200)
    assert part_of((100, 200), 200, 300) is None


def test_stops_that_overlap_count_once() -> None:
    assert usual_end_s(USUAL, [(100, 200), (150, 250)]) == 630


seconds = st.integers(0, 5000)
spans = st.lists(st.tuples(seconds, seconds).map(lambda ends: (min(ends), max(ends))), max_size=5)


@given(spans, st.integers(0, 2000))
def test_rest_and_usual_time_make_up_the_row(stops: list[tuple[int, int]], usual_s: int) -> None:
    """Rest lies within the row, in order and beside the stops; with it the row is as fast as usual, or was before."""
    stopped = len({second for began, ended in stops for second in range(began, ended)})

    rest = rest_spans(5000, usual_s, stops)

    assert sum(end - begin for begin, end in rest) == max(0, 5000 - stopped - usual_s)
    assert all(0 <= begin < end <= 5000 for begin, end in rest)
    assert all(part_of(stop, *span) is None for stop in stops for span in rest)
    assert rest == sorted(rest)


@given(spans, st.integers(0, 4000))
def test_two_rows_never_overlap_nor_leave_the_row(stops: list[tuple[int, int]], usual_s: int) -> None:
    first_end, second_start = two_rows(5000.0, usual_s, stops)

    assert 0 <= first_end <= second_start <= 5000


def test_impossible_figures_are_refused() -> None:
    with pytest.raises(BadQuantity, match="usual_s"):
        usual_end_s(-1, [])
    with pytest.raises(BadQuantity, match="stops"):
        usual_end_s(USUAL, [(100, 50)])
    with pytest.raises(BadQuantity, match="stops"):
        rest_spans(LUNCH, USUAL, [(-5, 50)])
    with pytest.raises(BadQuantity, match="row_s"):
        two_rows(-1, USUAL, [])
    with pytest.raises(BadQuantity, match="stops"):
        two_rows(100, USUAL, [(50, 200)])
