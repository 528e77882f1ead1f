"""The row without a window: what the button says, what a tap does, what the hand feels."""

from collections.abc import Callable
from datetime import timedelta

import pytest

from mobile.device.haptics.protocol import Haptic
from mobile.presenters.base.routes import Route
from mobile.presenters.row.row import RowPresenter, opening
from mobile.presenters.row.stop import NOT_STOPPED, StopPresenter
from shared_models.core.vocabulary import Feel, StopReason
from shared_models.records.models import moment_fields
from tests.mobile.conftest import Crew
from tests.mobile.support.quiet_phone import QuietContext


@pytest.fixture
def row(context: QuietContext, crew: Crew) -> RowPresenter:
    presenter = RowPresenter(context, crew.planting)
    crew.wait(3)
    return presenter


def press(row: RowPresenter, crew: Crew, wait_s: float = 60) -> None:
    row.attempt(row.press)
    crew.wait(wait_s)


def test_the_button_says_what_it_will_do(row: RowPresenter, crew: Crew) -> None:
    shown = [row.view.button]
    for _ in range(3):
        press(row, crew)
        shown.append(row.view.button)

    assert shown == ["Start row 1", "End row 1", "Start row 2", "End row 2"]


def test_the_open_row_shows_its_number_and_its_time(row: RowPresenter, crew: Crew) -> None:
    press(row, crew, 252)

    assert (row.view.bed, row.view.title, row.view.state) == ("North 1 · scallion", "Row 1 of 5", "open 4:12")
    assert row.ticks


def test_between_rows_the_last_one_is_told_and_nothing_runs(row: RowPresenter, crew: Crew) -> None:
    press(row, crew, 400)
    press(row, crew)

    assert (row.view.title, row.view.state) == ("Row 2 of 5", "row 1 took 6 min 40 s")
    assert row.view.left == "4 rows left, about 27 min"
    assert not row.ticks


def test_the_rows_left_are_estimated_with_their_turns_but_not_with_breaks(row: RowPresenter, crew: Crew) -> None:
    """By hand: rows of 8, 6 and 7 min, one turn of 2 min, one break of an hour: two rows left take 2 × (7 + 2) min."""
    for minutes, pause in ((8, 2), (6, 60), (7, 1)):
        press(row, crew, minutes * 60)
        press(row, crew, pause * 60)

    assert row.view.left == "2 rows left, about 18 min"


def test_when_all_rows_are_begun_none_is_left(row: RowPresenter, crew: Crew) -> None:
    for _ in range(5):
        press(row, crew, 300)
        press(row, crew, 60)

    assert row.view.left == ""


def test_start_end_miss_and_refusal_feel_different(row: RowPresenter, context: QuietContext, crew: Crew) -> None:
    press(row, crew, 0.5)
    press(row, crew)
    row.attempt(row.miss)
    press(row, crew)

    assert context.haptics == [Haptic.START, Haptic.REFUSAL, Haptic.MISS, Haptic.END]


def test_the_finger_that_chose_the_bed_does_not_start_a_row(context: QuietContext, crew: Crew) -> None:
    row = RowPresenter(context, crew.planting)
    crew.wait(1)

    row.attempt(row.press)

    assert context.haptics == [Haptic.REFUSAL]
    assert crew.state.passes == ()


def test_a_row_that_runs_can_be_ended_as_soon_as_the_app_is_open(context: QuietContext, crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    crew.wait(300)

    row = RowPresenter(context, crew.planting)
    row.attempt(row.press)

    assert context.haptics == [Haptic.END]


def test_misses_are_counted_in_the_row_at_hand(row: RowPresenter, crew: Crew) -> None:
    nothing_yet = (row.view.misses, row.view.can_miss)
    press(row, crew)
    row.attempt(row.miss)
    row.attempt(row.miss)
    in_row = (row.view.miss, row.view.misses)
    press(row, crew)
    row.attempt(row.miss)

    assert nothing_yet == ("–", False)
    assert in_row == ("miss", "2")
    assert (row.view.miss, row.view.misses) == ("miss, row 1", "3")


def test_stop_asks_why_and_the_big_button_goes_on(row: RowPresenter, context: QuietContext, crew: Crew) -> None:
    press(row, crew, 100)
    row.attempt(row.stop)
    assert context.navigator.went == [("stop", {"planting": crew.planting})]

    StopPresenter(context, crew.planting).pick(StopReason.CHAIN_BROKE)
    crew.wait(50)
    row.reload()
    stopped = row.view
    press(row, crew)

    assert (stopped.state, stopped.stop, stopped.stopped) == ("stopped: chain broke", "go on", "0:50")
    assert (stopped.button, stopped.tone) == ("Go on", "caution")
    assert (row.view.button, row.view.stop, row.view.stopped) == ("End row 1", "stop", "0:50")
    assert context.haptics == [Haptic.START, Haptic.STOP, Haptic.START]


def test_the_stop_tile_goes_on_too(row: RowPresenter, crew: Crew) -> None:
    press(row, crew)
    crew.notebook.stop(crew.planting, StopReason.REST)
    row.reload()

    row.attempt(row.stop)

    assert row.view.button == "End row 1"


def test_a_bounce_after_going_on_does_not_end_the_row(row: RowPresenter, context: QuietContext, crew: Crew) -> None:
    press(row, crew)
    crew.notebook.stop(crew.planting, StopReason.REST)
    crew.wait(20)
    row.reload()

    press(row, crew, 0.4)
    press(row, crew)

    assert context.haptics[-1] is Haptic.REFUSAL
    assert crew.state.open is not None


def test_a_bounce_after_choosing_the_reason_does_not_go_on(context: QuietContext, crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    crew.wait(30)
    StopPresenter(context, crew.planting).pick(StopReason.REST)

    row = RowPresenter(context, crew.planting)
    row.attempt(row.press)

    assert row.view.button == "Go on"


def test_no_stop_after_all_changes_nothing(context: QuietContext, crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)

    stop = StopPresenter(context, crew.planting)
    stop.pick(NOT_STOPPED)

    assert crew.state.passes[0].stops == []
    assert context.navigator.last == "back"
    assert [option.text for option in stop.view.rest] == ["Other", "no stop"]
    assert len(stop.view.options) == 6


def test_undo_stays_for_the_last_action_and_says_which(row: RowPresenter, context: QuietContext, crew: Crew) -> None:
    shown = [row.view.undo]
    press(row, crew)
    shown.append(row.view.undo)
    row.attempt(row.miss)
    shown.append(row.view.undo)
    row.attempt(row.undo)
    shown.append(row.view.undo)
    row.attempt(row.undo)
    shown.append(row.view.undo)

    assert shown == ["", "Undo: start of row 1", "Undo: miss", "Put back: miss", "Undo: miss"]
    assert row.view.misses == "1"
    assert context.haptics[-1] is Haptic.UNDO


def test_a_start_can_be_taken_back_and_put_back(row: RowPresenter, crew: Crew) -> None:
    press(row, crew)
    row.attempt(row.undo)
    taken = (row.view.button, row.view.undo)
    row.attempt(row.undo)

    assert taken == ("Start row 1", "Put back: start of row 1")
    assert row.view.button == "End row 1"


def test_undo_names_every_kind_of_action(row: RowPresenter, crew: Crew) -> None:
    press(row, crew)
    person = crew.notebook.add("person", name="Ines")
    actions: list[Callable[[], object]] = [
        lambda: crew.notebook.stop(crew.planting, StopReason.REST),
        lambda: crew.notebook.go_on(crew.planting),
        lambda: crew.notebook.double(crew.planting),
        lambda: crew.notebook.set_depth(crew.planting, notch=3),
        lambda: crew.notebook.set_crew(crew.planting, [person]),
        lambda: crew.notebook.note_row(crew.planting, "wet"),
        lambda: crew.notebook.end_row(crew.planting),
    ]
    shown = []
    for action in actions:
        action()
        row.reload()
        shown.append(row.view.undo.removeprefix("Undo: "))

    assert shown == ["stop", "go on", "double", "depth", "crew", "note", "end of row 1"]


def test_what_was_written_elsewhere_is_not_undone_from_the_row(row: RowPresenter, crew: Crew) -> None:
    press(row, crew)
    crew.notebook.add("person", name="June")

    row.reload()

    assert row.view.undo == ""


def test_the_setting_button_says_what_is_set(row: RowPresenter, crew: Crew) -> None:
    before = row.view.depth_and_crew
    people = [crew.notebook.add("person", name=name) for name in ("Ines", "Tomas")]
    press(row, crew)
    crew.notebook.set_crew(crew.planting, people)
    crew.notebook.set_depth(crew.planting, notch=3)
    row.reload()

    assert (before, row.view.depth_and_crew) == ("Depth and crew", "notch 3 · Ines, Tomas")


@pytest.mark.parametrize(
    ("names", "expected"),
    [
        (["Ines Villanueva", "Tomas Ek"], "Ines, Tomas"),
        (["Ines Villanueva", "Ines Ek"], "crew of 2"),
        (["Guadalupe", "Bartholomew"], "crew of 2"),
        (["Guadalupe Villanueva"], "1 person"),
    ],
)
def test_long_names_are_cut_to_first_names_where_these_differ_else_counted(
    row: RowPresenter, crew: Crew, names: list[str], expected: str
) -> None:
    people = [crew.notebook.add("person", name=name) for name in names]
    press(row, crew)
    crew.notebook.set_crew(crew.planting, people)
    row.reload()

    assert row.view.depth_and_crew == expected


def test_a_long_crop_leaves_the_button_its_place(context: QuietContext, crew: Crew) -> None:
    crew.notebook.write("bed", crew.bed, {"name": "Lower creek field behind the old barn 01"})
    crew.notebook.write("sowing", crew.sowing, {"crop": "scallion (bunching onion, white)"})

    assert RowPresenter(context, crew.planting).view.bed == "Lower creek field behind the old barn 01 · scallio…"


def test_the_end_of_the_last_row_leads_to_the_summary(row: RowPresenter, context: QuietContext, crew: Crew) -> None:
    for _ in range(10):
        press(row, crew)

    assert context.navigator.went == [("summary", {"planting": crew.planting})]


def test_a_bed_planted_elsewhere_leads_to_the_summary(context: QuietContext, crew: Crew) -> None:
    for _ in range(5):
        crew.notebook.start_row(crew.planting)
        crew.notebook.end_row(crew.planting)
    row = RowPresenter(context, crew.planting)
    crew.wait(5)

    shown = (row.view.title, row.view.button)
    row.attempt(row.press)

    assert shown == ("All 5 rows planted", "Summary")
    assert context.navigator.last == "summary"


def test_the_screen_stays_on_while_a_row_is_open(row: RowPresenter, context: QuietContext, crew: Crew) -> None:
    press(row, crew)
    during = context.screen.on
    press(row, crew)

    assert (during, context.screen.on) == (True, False)


def test_a_bed_that_should_wait_says_so_until_it_is_begun(context: QuietContext, crew: Crew) -> None:
    crew.notebook.check_soil(crew.bed, feel=Feel.WET)
    row = RowPresenter(context, crew.planting)
    crew.wait(3)
    before = row.view.state

    press(row, crew)

    assert before == "not started · soil: wait"
    assert row.view.state.startswith("open")


def test_what_cannot_be_done_is_felt_and_told_until_the_next_tap(
    row: RowPresenter, context: QuietContext, crew: Crew
) -> None:
    row.attempt(row.miss)
    text = row.trouble
    press(row, crew)

    assert text == "No row has been started in this bed. Start the row first."
    assert (context.haptics[0], row.trouble) == (Haptic.REFUSAL, "")


def test_the_hardware_key_is_the_big_button(row: RowPresenter) -> None:
    assert row.row_key() == row.press


def test_the_app_opens_in_the_open_row_and_in_the_turn_after_it(context: QuietContext, crew: Crew) -> None:
    nothing = opening(context)
    crew.notebook.start_row(crew.planting)
    crew.wait(7200)
    in_row = opening(context)
    crew.notebook.end_row(crew.planting)
    crew.wait(600)
    in_turn = opening(context)
    crew.wait(7200)

    there = (Route.ROW, {"planting": crew.planting})
    assert (nothing, in_row, in_turn, opening(context)) == ((Route.TODAY, {}), there, there, (Route.TODAY, {}))


def test_a_row_of_an_unknown_bed_goes_on_where_the_app_opens(context: QuietContext, crew: Crew) -> None:
    planting = crew.notebook.add("planting", bed=crew.notebook.new_id(), sowing=crew.sowing)
    started = moment_fields("started", crew.notebook.now())
    crew.notebook.add("row_pass", planting=planting, row=1, length_mm=30_480, **started)
    there = opening(context)
    row = RowPresenter(context, planting)
    crew.wait(60)

    row.attempt(row.press)
    crew.wait(60)
    row.attempt(row.press)

    assert there == (Route.ROW, {"planting": planting})
    assert row.trouble == ""
    assert (row.view.bed, row.view.title, row.view.button) == ("unknown bed · scallion", "Row 2 of ?", "End row 2")
    assert crew.notebook.row_state(planting).require_open().length_mm == 30_480


def test_a_row_is_timed_right_on_the_screen_while_the_clock_is_set_wrong(row: RowPresenter, crew: Crew) -> None:
    press(row, crew, 100)
    crew.phone.clock.set_wrong_by(timedelta(hours=-9))

    assert row.view.state == "open 1:40"


def test_the_row_speaks_spanish(row: RowPresenter, context: QuietContext, crew: Crew) -> None:
    crew.notebook.change_settings(language="es")
    context.tune()
    press(row, crew, 252)

    assert (row.view.title, row.view.state, row.view.button) == ("Hilera 1 de 5", "abierta 4:12", "Terminar hilera 1")
