"""A tape sample without a window: where a finger means a plant, what the plants say, and that none is lost."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from mobile.device.haptics.protocol import Haptic
from mobile.presenters.checks.tape_draft import draft
from mobile.presenters.checks.tape_result import TapeResultForm
from mobile.presenters.checks.tape_start import TapeStartForm
from mobile.presenters.checks.tape_strip import TapeStripPresenter
from shared_models.core.vocabulary import LengthUnits
from shared_models.records.tables import StandCount
from tests.mobile.conftest import Crew
from tests.mobile.presenters.base.test_form import answer, last
from tests.mobile.support.quiet_phone import QuietContext

TEN_FEET_MM = 3048
#: a finger's reach on the glass, as a share of the stretch
REACH = 0.05

Lay = Callable[..., TapeStripPresenter]


@pytest.fixture
def lay(context: QuietContext, crew: Crew) -> Lay:
    """Lay a tape along row 2; the crop stands at 2 in."""

    def laid(length_mm: int = TEN_FEET_MM) -> TapeStripPresenter:
        return TapeStripPresenter(context, crew.planting, row=2, length_mm=length_mm)

    return laid


def touch(tape: TapeStripPresenter, *inches: float) -> None:
    """A finger on the stretch that is shown, one foot long."""
    for inch in inches:
        tape.attempt(tape.touch, inch / 12, REACH)


def placed(context: QuietContext) -> tuple[int, ...]:
    begun = draft(context.notebook)
    return begun.placed if begun else ()


# on the tape


def test_a_finger_on_the_tape_puts_a_plant_at_the_nearest_quarter_inch(context: QuietContext, lay: Lay) -> None:
    tape = lay()
    touch(tape, 2.1, 4.3)

    assert placed(context) == (51, 108)
    assert (tape.view.title, tape.view.value) == ("North 1, row 2: 2 plants", 4.25)
    assert tape.view.place == "2.2 in after the plant before"
    assert [spot.chosen for spot in tape.view.spots] == [False, True]
    assert context.haptics == [Haptic.MISS, Haptic.MISS]


def test_a_finger_near_a_plant_means_that_plant(context: QuietContext, lay: Lay) -> None:
    tape = lay()
    touch(tape, 2, 4, 2.4)
    chosen = tape.view.value
    tape.attempt(tape.move, 2.5)

    assert chosen == 2
    assert placed(context) == (64, 102)


def test_between_two_plants_the_nearer_one_is_meant(lay: Lay) -> None:
    tape = lay()
    touch(tape, 2, 3, 2.4)
    nearer = tape.view.value
    touch(tape, 2.6)

    assert (nearer, tape.view.value) == (2, 3)


def test_a_plant_is_taken_away_and_the_one_put_before_it_is_next(context: QuietContext, lay: Lay) -> None:
    tape = lay()
    touch(tape, 4, 2, 8)
    tape.attempt(tape.remove)
    after_one = (placed(context), tape.view.value)
    tape.attempt(tape.remove)
    tape.attempt(tape.remove)

    assert after_one == ((102, 51), 2.0)
    assert (placed(context), tape.view.value, tape.view.can_remove, tape.view.can_done) == ((), None, False, False)
    assert context.haptics[-3:] == [Haptic.UNDO] * 3


def test_next_plant_adds_one_a_spacing_after_the_last_and_it_can_be_moved(context: QuietContext, lay: Lay) -> None:
    tape = lay()
    for _ in range(3):
        tape.attempt(tape.next_plant)
    tape.attempt(tape.move, 5.5)
    tape.attempt(tape.next_plant)

    assert placed(context) == (0, 51, 140, 190)
    assert tape.view.value == 7.5


def test_two_plants_may_stand_in_one_place(context: QuietContext, lay: Lay) -> None:
    tape = lay()
    touch(tape, 2)
    tape.attempt(tape.next_plant)
    tape.attempt(tape.move, 2)

    assert placed(context) == (51, 51)


def test_with_no_plant_on_the_tape_the_number_puts_the_first(context: QuietContext, lay: Lay) -> None:
    tape = lay()
    tape.attempt(tape.move, 1.25)

    assert placed(context) == (32,)


def test_the_stretches_follow_one_another_to_the_end(context: QuietContext, lay: Lay) -> None:
    tape = lay()
    first = (tape.view.stretch, tape.view.can_nearer, tape.view.can_farther)
    for _ in range(12):
        tape.attempt(tape.farther)
    touch(tape, 12)
    at_the_end = (tape.view.stretch, tape.view.can_nearer, tape.view.can_farther)
    tape.attempt(tape.nearer)
    before = (tape.view.stretch, tape.view.spots)

    assert first == ("0 to 12 of 120 in", False, True)
    assert at_the_end == ("108 to 120 of 120 in", True, False)
    assert before == ("96 to 108 of 120 in", ())
    assert placed(context) == (TEN_FEET_MM,)


def test_the_stretch_follows_the_plant_that_is_put_by_number(lay: Lay) -> None:
    tape = lay()
    touch(tape, 11)
    tape.attempt(tape.next_plant)

    assert (tape.view.stretch, tape.view.value) == ("12 to 24 of 120 in", 13)


def test_a_last_stretch_that_is_short_ends_with_the_tape(lay: Lay) -> None:
    """Ten and a half feet: the last stretch begins half a foot before the tenth foot ends."""
    tape = lay(3200)
    for _ in range(12):
        tape.attempt(tape.farther)

    assert tape.view.stretch == "114 to 126 of 126 in"


def test_the_tape_ends(context: QuietContext, lay: Lay) -> None:
    tape = lay(51)
    tape.attempt(tape.next_plant)
    tape.attempt(tape.next_plant)
    tape.attempt(tape.next_plant)

    assert placed(context) == (0, 51)
    assert tape.trouble == "The tape ends here. Go to the result."
    assert context.haptics[-1] is Haptic.REFUSAL


@pytest.mark.parametrize(
    ("spacing_mm", "units", "numbers", "marks"),
    [
        (50.8, LengthUnits.FEET, ["0", "2", "4", "6", "8", "10", "12"], 13),
        (152.4, LengthUnits.FEET, ["0", "6", "12", "18", "24", "30", "36"], 37),
        (304.8, LengthUnits.FEET, ["0", "12", "24", "36", "48", "60", "72"], 37),
        (50.0, LengthUnits.METRES, ["0", "5", "10", "15", "20", "25", "30"], 31),
        (150.0, LengthUnits.METRES, ["0", "20", "40", "60", "80"], 28),
    ],
)
def test_a_stretch_holds_six_plants_and_no_more_numbers_than_can_be_read(
    context: QuietContext, crew: Crew, lay: Lay, spacing_mm: float, units: LengthUnits, numbers: list[str], marks: int
) -> None:
    context.notebook.write("sowing", crew.sowing, {"spacing_mm": spacing_mm})
    context.localizer = replace(context.localizer, units=units)
    shown = lay().view.marks

    assert [mark.text for mark in shown if mark.text] == numbers
    assert len(shown) == marks
    assert all(0 <= mark.at <= 1.001 for mark in shown)


def test_in_metres_the_finest_step_is_half_a_centimetre(context: QuietContext, lay: Lay) -> None:
    context.localizer = replace(context.localizer, units=LengthUnits.METRES)
    tape = lay(3000)
    tape.attempt(tape.touch, 0.33, REACH)

    assert placed(context) == (130,)
    assert (tape.view.value, tape.view.number.unit, tape.view.number.highest) == (13.0, "cm", 300)


# a sample begun


def test_a_sample_survives_the_app_and_is_offered_again(context: QuietContext, crew: Crew, lay: Lay) -> None:
    crew.notebook.start_row(crew.planting)
    tape = lay()
    touch(tape, 2, 4)
    crew.phone.kill()
    context.notebook = crew.notebook

    form = TapeStartForm(context)
    offered = [(option.text, option.detail) for option in form.view.options]
    answer(form, "go on")

    assert offered == [("Continue it", "North 1 · scallion, row 2: 2 plants"), ("Start a new one", "")]
    assert context.navigator.went[-1] == ("tape_strip", {"planting": crew.planting, "row": 2, "length_mm": TEN_FEET_MM})
    assert lay().view.title == "North 1, row 2: 2 plants"
    assert lay().view.value == 4


def test_another_sample_begins_with_an_empty_tape(context: QuietContext, crew: Crew, lay: Lay) -> None:
    crew.notebook.start_row(crew.planting)
    touch(lay(), 2, 4)
    form = TapeStartForm(context)
    answer(form, "new", crew.planting, 2, 10)

    assert context.navigator.went[-1] == ("tape_strip", {"planting": crew.planting, "row": 2, "length_mm": TEN_FEET_MM})
    assert lay().view.spots == ()


def test_a_sample_asks_for_planting_row_and_length(context: QuietContext, crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    form = TapeStartForm(context)
    title = form.view.title
    answer(form, crew.planting, 3)
    form.put(6)
    forward = form.view.forward
    form.attempt(form.forward)

    assert (title, forward) == ("Tape sample, 1 of 3", "Start the tape")
    assert context.navigator.went[-1] == ("tape_strip", {"planting": crew.planting, "row": 3, "length_mm": 1829})


# the result


def result(context: QuietContext, crew: Crew, tape: TapeStripPresenter) -> TapeResultForm:
    tape.attempt(tape.done)
    place, args = context.navigator.went[-1]
    assert (place, args["planting"]) == ("tape_result", crew.planting)
    return TapeResultForm(context, **args)


def test_the_result_says_how_even_the_plants_stand_and_where_the_skips_are(
    context: QuietContext, crew: Crew, lay: Lay
) -> None:
    """At 2 in: six gaps, four good ones, one skip of a plant, one too close."""
    tape = lay(305)
    touch(tape, 0, 2, 4, 8, 8.75, 10.75, 12)
    form = result(context, crew, tape)

    assert form.view.ask == "7 plants in 1 ft"
    assert form.view.notice.text == "Stand: 100% of 6 plants; likely 61% to 100%."
    assert form.view.how.splitlines() == [
        "Good gaps: 67% (quality of feed): one plant where it should be, at 2 in.",
        "Skips: 17% (miss index).",
        "Too close: 17% (multiples index).",
        "Spread of good gaps: 19% of the spacing (precision). Lower is more even; 29% is as uneven as it gets.",
        "Skip of 4 in after 4 in: 1 plant missing.",
    ]


def test_the_result_tells_the_stand(context: QuietContext, crew: Crew, lay: Lay) -> None:
    tape = lay(305)
    touch(tape, 0, 2, 4, 8, 10)

    assert result(context, crew, tape).view.notice.text == "Stand: 83% of 6 plants; likely 44% to 97%."


def test_one_plant_makes_no_gap(context: QuietContext, crew: Crew, lay: Lay) -> None:
    tape = lay()
    touch(tape, 3)

    assert result(context, crew, tape).view.how == "Mark at least two plants on the tape."


def test_many_skips_are_not_read_one_by_one(context: QuietContext, crew: Crew, lay: Lay) -> None:
    tape = lay(18 * 305)
    for foot in range(9):
        tape.attempt(tape.move, foot * 12)
        tape._chosen = None

    how = result(context, crew, tape).view.how.splitlines()

    assert len([line for line in how if line.startswith("Skip of")]) == 6
    assert how[-1] == "and 2 more skips"


def test_saved_it_is_a_stand_count_with_the_places_in_order(context: QuietContext, crew: Crew, lay: Lay) -> None:
    tape = lay(305)
    touch(tape, 8, 2, 4)
    form = result(context, crew, tape)
    form.attempt(form.forward)

    count = last(context, StandCount)
    assert (count.planting, count.row, count.sample_length_mm, count.plants) == (crew.planting, 2, 305, 3)
    assert count.positions_mm == [51, 102, 203]
    assert draft(context.notebook) is None
    assert context.navigator.last == "today"


def test_from_the_result_the_way_leads_back_to_the_tape(context: QuietContext, crew: Crew, lay: Lay) -> None:
    tape = lay(305)
    touch(tape, 8)
    form = result(context, crew, tape)
    form.attempt(form.back)

    assert context.navigator.last == "back"
    assert placed(context) == (203,)
