"""Row length without a window: two fixes or a tape, a proposal with its error, and receivers that never run on."""

from dataclasses import dataclass, field, replace

import pytest

from mobile.device.haptics.protocol import Haptic
from mobile.device.location.protocol import Fix, LocationProblem, OnSearch, Search
from mobile.presenters.row.row_length import RowLengthForm
from shared_models.core.vocabulary import LengthUnits
from shared_models.records.tables import Bed, RowPass
from tests.mobile.conftest import Crew
from tests.mobile.presenters.base.test_form import answer, last
from tests.mobile.support.quiet_phone import QuietContext

#: a hundredth of a degree of latitude is about 1,112 m; these two are 100 ft apart
HERE, THERE = Fix(50.0, 8.0, 3.0), Fix(50.000274, 8.0, 3.0)


@dataclass
class Sky:
    """A locator that tells what the test lets it tell."""

    tell: OnSearch | None = None
    searches: int = 0
    given_up: int = field(default=0)

    def start(self, tell: OnSearch) -> None:
        self.tell = tell
        self.searches += 1
        tell(Search(asking=True))

    def stop(self) -> None:
        self.given_up += 1

    def says(self, search: Search) -> None:
        assert self.tell is not None
        self.tell(search)


@pytest.fixture
def sky(context: QuietContext) -> Sky:
    sky = Sky()
    context.hardware = replace(context.hardware, locator=sky)
    return sky


def texts(form: RowLengthForm) -> list[str]:
    return [option.text for option in form.view.options]


def fix(form: RowLengthForm, sky: Sky, at: Fix) -> None:
    form.attempt(form.pick, "look")
    sky.says(Search(at, over=True))


def from_a_row(context: QuietContext, crew: Crew) -> RowLengthForm:
    crew.notebook.start_row(crew.planting)
    form = RowLengthForm(context, planting=crew.planting)
    answer(form, "fixes")
    return form


def test_two_fixes_propose_a_length_with_its_error_and_change_nothing(
    context: QuietContext, crew: Crew, sky: Sky
) -> None:
    form = RowLengthForm(context)
    answer(form, crew.bed, "fixes")
    first = form.view.ask
    fix(form, sky, HERE)
    second = form.view.ask
    fix(form, sky, THERE)

    assert (first, second) == ("Stand at one end of the row.", "Walk to the other end of the row.")
    assert form.view.ask == "100 ft, give or take 18 ft"
    assert form.view.notice.text == "Not accurate enough for a row this long. Use a tape."
    assert texts(form) == ["Use for bed North 1", "Don't change anything"]
    assert form.view.options[0].detail == "now 100 ft; rows already started keep theirs"
    assert last(context, Bed).length_mm == 30_480
    assert context.haptics == [Haptic.END, Haptic.END]


def test_a_long_row_needs_no_tape(context: QuietContext, crew: Crew, sky: Sky) -> None:
    form = RowLengthForm(context)
    answer(form, crew.bed, "fixes")
    fix(form, sky, HERE)
    fix(form, sky, Fix(50.0027, 8.0, 3.0))

    assert form.view.notice.text == ""


def test_while_a_fix_is_taken_the_best_so_far_can_be_taken_or_the_search_stopped(
    context: QuietContext, crew: Crew, sky: Sky
) -> None:
    form = from_a_row(context, crew)
    before = texts(form)
    form.attempt(form.pick, "look")
    looking = (form.view.how, texts(form))
    sky.says(Search(Fix(50, 8, 12)))
    better = (form.view.how, [(option.text, option.detail) for option in form.view.options])
    form.attempt(form.pick, "stop")
    stopped = texts(form)
    form.attempt(form.pick, "look")
    sky.says(Search(Fix(50, 8, 12)))
    form.attempt(form.pick, "take")

    assert before == stopped == ["Mark this end", "By tape"]
    assert looking == ("Finding this spot…", ["Stop"])
    assert better == (
        "Hold still. It gets better for about a minute.",
        [("Use this", "within about 39 ft"), ("Stop", "")],
    )
    assert form.view.ask == "Walk to the other end of the row."
    assert sky.given_up == 2


def test_a_row_gets_its_length_with_the_fixes_of_its_ends(context: QuietContext, crew: Crew, sky: Sky) -> None:
    form = from_a_row(context, crew)
    fix(form, sky, HERE)
    fix(form, sky, THERE)
    offered = texts(form)
    form.attempt(form.pick, "row")

    assert offered == ["Use for row 1", "Use for bed North 1", "Don't change anything"]
    row = last(context, RowPass)
    assert row.length_mm == pytest.approx(30_480, abs=30)
    assert (row.start_latitude, row.start_longitude, row.start_accuracy_m) == (50.0, 8.0, 3.0)
    assert (row.end_latitude, row.end_longitude, row.end_accuracy_m) == (50.000274, 8.0, 3.0)
    assert last(context, Bed).length_mm == 30_480
    assert context.navigator.last == "back"


def test_a_bed_gets_its_length_and_the_row_keeps_its_own(context: QuietContext, crew: Crew, sky: Sky) -> None:
    form = from_a_row(context, crew)
    fix(form, sky, HERE)
    fix(form, sky, Fix(50.0005, 8.0, 3.0))
    form.attempt(form.pick, "bed")

    assert last(context, Bed).length_mm == pytest.approx(55_613, abs=10)
    assert last(context, RowPass).length_mm == 30_480


def test_left_as_it_is_nothing_is_written(context: QuietContext, crew: Crew, sky: Sky) -> None:
    form = from_a_row(context, crew)
    entries = context.notebook.only_here
    fix(form, sky, HERE)
    fix(form, sky, THERE)
    form.attempt(form.pick, "nothing")

    assert context.notebook.only_here == entries
    assert context.navigator.last == "back"


@pytest.mark.parametrize(
    ("hindrance", "expected"),
    [
        (
            LocationProblem.NOT_ALLOWED,
            "Rowend needs the precise location. Allow it in the phone's settings, or use a tape.",
        ),
        (LocationProblem.OFF, "Location is off. Turn it on, or use a tape."),
        (LocationProblem.NO_RECEIVER, "This phone can't find its location. Use a tape."),
    ],
)
def test_what_hinders_a_fix_is_told_and_a_tape_does(
    context: QuietContext, crew: Crew, sky: Sky, hindrance: LocationProblem, expected: str
) -> None:
    form = from_a_row(context, crew)
    form.attempt(form.pick, "look")
    sky.says(Search(over=True, problem=hindrance))
    shown = (form.view.how, texts(form))
    form.attempt(form.pick, "tape")
    by_tape = (form.view.ask, form.view.number.start)
    answer(form, 95)
    form.attempt(form.pick, "row")

    assert shown == (expected, ["Try again", "By tape"])
    assert context.haptics == [Haptic.REFUSAL]
    assert by_tape == ("How long is the row?", 100.0)
    row = last(context, RowPass)
    assert (row.length_mm, row.start_latitude, row.end_accuracy_m) == (28_956, None, None)


def test_a_tape_in_metres_goes_by_half_metres(context: QuietContext, crew: Crew) -> None:
    context.localizer = replace(context.localizer, units=LengthUnits.METRES)
    form = RowLengthForm(context)
    answer(form, crew.bed, "tape")
    start = (form.view.number.start, form.view.number.step)
    answer(form, 29.5)
    ask, shown = form.view.ask, form.view.notice.text
    form.attempt(form.pick, "bed")

    assert start == (30.5, 0.5)
    assert (ask, shown) == ("29.5 m", "")
    assert last(context, Bed).length_mm == 29_500


def test_the_location_search_stops_when_the_screen_is_left_or_the_app_paused(
    context: QuietContext, crew: Crew, sky: Sky
) -> None:
    form = from_a_row(context, crew)
    for way_out in (form.leave, form.step_back, form.pause):
        form.attempt(form.pick, "fixes") if form.view.key == "by" else None
        form.attempt(form.pick, "look")
        sky.says(Search())
        before = sky.given_up

        way_out()

        assert sky.given_up == before + 1


def test_the_screen_stays_on_while_an_end_is_fixed(context: QuietContext, crew: Crew, sky: Sky) -> None:
    """And afterwards only where a row is open."""
    form = RowLengthForm(context)
    answer(form, crew.bed, "fixes")
    form.attempt(form.pick, "look")
    looking = context.screen.on
    form.attempt(form.pick, "stop")
    bed_only = context.screen.on
    form = from_a_row(context, crew)
    fix(form, sky, HERE)

    assert (looking, bed_only, context.screen.on) == (True, False, True)


def test_the_systems_own_question_does_not_end_the_search(context: QuietContext, crew: Crew, sky: Sky) -> None:
    """It lies over the app, and the phone looks put away."""
    form = from_a_row(context, crew)
    form.attempt(form.pick, "look")

    form.pause()
    sky.says(Search(HERE, over=True))

    assert form.view.ask == "Walk to the other end of the row."


def test_late_results_of_a_cancelled_search_change_nothing(context: QuietContext, crew: Crew, sky: Sky) -> None:
    form = from_a_row(context, crew)
    form.attempt(form.pick, "look")
    form.attempt(form.pick, "stop")

    sky.says(Search(HERE, over=True))

    assert form.view.ask == "Stand at one end of the row."
    assert texts(form) == ["Mark this end", "By tape"]


def test_an_end_can_be_fixed_again(context: QuietContext, crew: Crew, sky: Sky) -> None:
    form = from_a_row(context, crew)
    fix(form, sky, Fix(49, 8, 12))
    form.attempt(form.back)
    stands = (form.view.how, texts(form)[0], form.view.can_forward)
    fix(form, sky, HERE)
    fix(form, sky, THERE)

    assert stands == ("Marked, within about 39 ft.", "Mark it again", True)
    assert form.view.ask == "100 ft, give or take 18 ft"


def test_ends_that_are_no_row_are_questioned(context: QuietContext, crew: Crew, sky: Sky) -> None:
    form = from_a_row(context, crew)
    fix(form, sky, HERE)
    fix(form, sky, Fix(50.1, 8.0, 3.0))

    assert form.view.notice.text == "These can't be the two ends of one row. Mark them again, or use a tape."


def test_a_bed_that_is_not_there_yet_can_be_made(context: QuietContext) -> None:
    answer(RowLengthForm(context), "new")

    assert context.navigator.last == "bed"
