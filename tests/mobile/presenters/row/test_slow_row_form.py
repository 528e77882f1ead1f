"""A row that took far too long, without a window: where it is asked, what is offered, what each answer writes."""

import pytest

from mobile.presenters.row.row import RowPresenter
from mobile.presenters.row.slow_row_form import KEEP, SlowRowForm
from mobile.presenters.row.summary import SummaryPresenter
from shared_models.core.moments import elapsed_s
from shared_models.core.vocabulary import StopReason
from shared_models.errors import UnknownRecord
from tests.mobile.conftest import Crew
from tests.mobile.support.quiet_phone import QuietContext

LUNCH_S = 4360


def plant(crew: Crew, seconds: float) -> str:
    row = crew.notebook.start_row(crew.planting)
    crew.wait(seconds)
    crew.notebook.end_row(crew.planting)
    crew.wait(60)
    return row


@pytest.fixture
def lunch(crew: Crew) -> str:
    """Three rows of 8 minutes, then one of 1:12:40."""
    for _ in range(3):
        plant(crew, 480)
    return plant(crew, LUNCH_S)


def ask(context: QuietContext, row: str) -> SlowRowForm:
    return SlowRowForm(context, row)


def answer(context: QuietContext, row: str, key: str) -> SlowRowForm:
    form = ask(context, row)
    form.attempt(form.pick, key)
    assert context.navigator.last == "back"
    return form


def times(crew: Crew) -> dict[int, tuple[float, float]]:
    """Of each row, how long it was open, and how much of that were stops."""
    return {
        row.row: (
            elapsed_s(row.started, row.ended or row.started),
            sum(elapsed_s(stop.began, stop.ended or stop.began) for stop in row.stop_entries),
        )
        for row in crew.state.passes
    }


@pytest.mark.usefixtures("lunch")
def test_the_row_screen_asks_and_the_next_tap_goes_on(context: QuietContext, crew: Crew) -> None:
    screen = RowPresenter(context, crew.planting)
    (offer,) = screen.view.slow_rows
    crew.wait(3)
    screen.attempt(screen.press)
    meanwhile = screen.view.slow_rows
    crew.wait(480)
    screen.attempt(screen.press)

    assert offer.text == "Row 4 looks long. Was there a break?"
    assert meanwhile == ()
    assert crew.state.finished
    assert screen.view.slow_rows == (offer,)


@pytest.mark.usefixtures("lunch")
def test_what_could_not_be_done_comes_before_the_question(context: QuietContext, crew: Crew) -> None:
    """Both together would push the row off a small screen."""
    screen = RowPresenter(context, crew.planting)
    crew.wait(3)
    screen.attempt(screen.go_on)
    refused = screen.view.slow_rows
    screen.attempt(screen.miss)

    assert refused == ()
    assert len(screen.view.slow_rows) == 1


def test_a_touch_leads_to_the_question(context: QuietContext, crew: Crew, lunch: str) -> None:
    screen = RowPresenter(context, crew.planting)

    screen.attempt(screen.ask_about_slow_row, screen.view.slow_rows[0].key)

    assert context.navigator.went == [("slow_row", {"row_pass": lunch})]


def test_the_summary_asks_too(context: QuietContext, crew: Crew, lunch: str) -> None:
    summary = SummaryPresenter(context, crew.planting)

    summary.attempt(summary.ask_about_slow_row, summary.view.slow_rows[0].key)

    assert [each.text for each in summary.view.slow_rows] == ["Row 4 looks long. Was there a break?"]
    assert context.navigator.went == [("slow_row", {"row_pass": lunch})]


def test_rows_as_usual_are_not_asked_about(context: QuietContext, crew: Crew) -> None:
    for _ in range(4):
        plant(crew, 480)

    assert RowPresenter(context, crew.planting).view.slow_rows == ()
    assert SummaryPresenter(context, crew.planting).view.slow_rows == ()


def test_a_rest_that_was_tapped_is_no_forgotten_tap(context: QuietContext, crew: Crew) -> None:
    for _ in range(3):
        plant(crew, 480)
    crew.notebook.start_row(crew.planting)
    crew.notebook.stop(crew.planting, StopReason.REST)
    crew.wait(3600)
    stopped = RowPresenter(context, crew.planting).view.slow_rows
    crew.notebook.go_on(crew.planting)
    crew.wait(480)
    crew.notebook.end_row(crew.planting)

    assert (stopped, RowPresenter(context, crew.planting).view.slow_rows) == ((), ())


@pytest.mark.usefixtures("lunch")
def test_the_farm_says_how_slow_is_too_slow(context: QuietContext, crew: Crew) -> None:
    farm = crew.notebook.farm
    crew.notebook.write("farm", farm, {"name": "Heronbrook Farm", "thresholds": {"times_as_slow": 10.0}})

    assert RowPresenter(context, crew.planting).view.slow_rows == ()


def test_each_answer_shows_its_times_before_it_is_chosen(context: QuietContext, lunch: str) -> None:
    view = ask(context, lunch).view

    assert view.ask == "Row 4 took 1 h 13 min, usually about 8 minutes."
    assert [(each.text, each.detail) for each in view.options] == [
        ("It ended as usual", "end about 11:35\xa0AM, estimated"),
        ("There was a break", "1 h 5 min break, 8 min planting, end 12:39\xa0PM"),
        ("It was two rows", "row 4 until about 11:35\xa0AM, row 5 from about 12:31\xa0PM, estimated"),
        ("It really took that long", "no change; we won't ask again"),
    ]


def test_trimmed_it_took_the_usual_time(context: QuietContext, crew: Crew, lunch: str) -> None:
    answer(context, lunch, "trim")

    assert times(crew)[4] == (480, 0)
    assert RowPresenter(context, crew.planting).view.slow_rows == ()
    assert SummaryPresenter(context, crew.planting).view.rows[3].detail == "0 misses · times estimated"


def test_with_a_rest_the_field_time_stays(context: QuietContext, crew: Crew, lunch: str) -> None:
    answer(context, lunch, "rest")

    assert times(crew)[4] == (LUNCH_S, LUNCH_S - 480)
    assert crew.state.passes[3].stop_entries[0].reason == StopReason.REST
    assert RowPresenter(context, crew.planting).view.slow_rows == ()


def test_split_it_is_two_rows_as_usual(context: QuietContext, crew: Crew, lunch: str) -> None:
    answer(context, lunch, "split")

    assert (times(crew)[4], times(crew)[5]) == ((480, 0), (480, 0))
    assert crew.state.finished
    assert RowPresenter(context, crew.planting).view.slow_rows == ()


def test_where_no_row_is_left_it_was_not_two(context: QuietContext, crew: Crew, lunch: str) -> None:
    plant(crew, 480)

    assert [each.key for each in ask(context, lunch).view.options] == ["trim", "rest", KEEP]


def test_kept_as_it_is_this_phone_does_not_ask_again(context: QuietContext, crew: Crew, lunch: str) -> None:
    before = crew.notebook.only_here

    answer(context, lunch, KEEP)
    crew.phone.kill()
    context.notebook = crew.notebook

    assert crew.notebook.only_here == before
    assert RowPresenter(context, crew.planting).view.slow_rows == ()
    assert ask(context, lunch).view.options != ()


@pytest.mark.parametrize(
    ("key", "named"), [("trim", "row ended as usual"), ("rest", "rest added"), ("split", "row made two")]
)
def test_one_undo_takes_an_answer_back_whole(
    context: QuietContext, crew: Crew, lunch: str, key: str, named: str
) -> None:
    before = times(crew)
    answer(context, lunch, key)
    changed = times(crew)
    screen = RowPresenter(context, crew.planting)
    shown = [screen.view.undo]

    screen.attempt(screen.undo)
    undone = times(crew)
    shown.append(screen.view.undo)
    screen.attempt(screen.undo)

    assert shown == [f"Undo: {named}", f"Put back: {named}"]
    assert (undone, times(crew)) == (before, changed)


def test_the_app_opens_in_a_row_that_runs_on_and_asks(context: QuietContext, crew: Crew) -> None:
    for _ in range(3):
        plant(crew, 480)
    row = crew.notebook.start_row(crew.planting)
    crew.wait(LUNCH_S)

    screen = RowPresenter(context, crew.planting).view
    view = ask(context, row).view

    assert [each.text for each in screen.slow_rows] == ["Open 1 h 13 min. Still going?"]
    assert screen.state == "open 1:12:40"
    assert view.ask == "Row 4 has been open 1 h 13 min, usually about 8 minutes."
    assert [(each.text, each.detail) for each in view.options] == [
        ("It ended as usual", "end about 11:35\xa0AM, estimated"),
        ("Still going", "nothing changes"),
    ]


def test_a_row_that_runs_on_can_be_ended_as_usual_or_goes_on(context: QuietContext, crew: Crew) -> None:
    for _ in range(3):
        plant(crew, 480)
    row = crew.notebook.start_row(crew.planting)
    crew.wait(LUNCH_S)
    answer(context, row, KEEP)
    goes_on = crew.state.open
    still_asked = RowPresenter(context, crew.planting).view.slow_rows

    answer(context, row, "trim")

    assert goes_on is not None
    assert still_asked != ()
    assert crew.state.open is None
    assert times(crew)[4] == (480, 0)


def test_a_row_that_is_in_line_again_only_says_so(context: QuietContext, lunch: str) -> None:
    answer(context, lunch, "trim")

    view = ask(context, lunch).view

    assert (view.ask, [each.key for each in view.options]) == ("Row 4 is fine.", [KEEP])


def test_a_usual_time_below_a_minute_is_told_in_seconds(context: QuietContext, crew: Crew) -> None:
    for _ in range(3):
        plant(crew, 40)
    slow = plant(crew, 600)

    assert ask(context, slow).view.ask == "Row 4 took 10 min, usually about 40 seconds."


def test_a_row_that_is_not_here_is_told(context: QuietContext, crew: Crew) -> None:
    with pytest.raises(UnknownRecord):
        ask(context, crew.notebook.new_id())


def test_a_row_that_stands_still_is_not_asked_about(context: QuietContext, crew: Crew) -> None:
    for _ in range(3):
        plant(crew, 480)
    crew.notebook.start_row(crew.planting)
    crew.wait(LUNCH_S)
    crew.notebook.stop(crew.planting, StopReason.CHAIN_BROKE)

    view = RowPresenter(context, crew.planting).view

    assert (view.slow_rows, view.state) == ((), "stopped: chain broke")
