"""A bed's summary without a window: figures that can be checked by hand, and the fill list."""

import pytest

from mobile.device.haptics.protocol import Haptic
from mobile.presenters.row.fill import FillForm
from mobile.presenters.row.summary import SummaryPresenter
from tests.mobile.conftest import Crew
from tests.mobile.support.quiet_phone import QuietContext


@pytest.fixture
def planted(context: QuietContext, crew: Crew) -> SummaryPresenter:
    """Five rows of 100 ft at 2 in: 8 minutes each, 2 minutes between; 3 misses in row 2, 1 in row 4."""
    for row in range(1, 6):
        crew.notebook.start_row(crew.planting)
        crew.wait(480)
        if row in (2, 4):
            crew.notebook.miss(crew.planting, 3 if row == 2 else 1)
        crew.notebook.end_row(crew.planting)
        crew.wait(120)
    return SummaryPresenter(context, crew.planting)


def test_the_figures_are_those_of_the_rows(planted: SummaryPresenter) -> None:
    """48 minutes in the field for 500 ft make 625 ft an hour, at 2 in 3,750 plants."""
    view = planted.view

    assert (view.bed, view.title) == ("North 1 · scallion", "All 5 rows planted")
    assert [(fact.name, fact.figure) for fact in view.facts] == [
        ("planted", "500 ft"),
        ("field time", "48 min"),
        ("row feet an hour", "625"),
        ("plants an hour", "3,750"),
    ]


def test_a_first_bed_has_nothing_to_compare_with(planted: SummaryPresenter) -> None:
    assert planted.view.usual == "No earlier beds by this crew to compare."


def test_the_rate_stands_against_this_crews_earlier_beds(
    planted: SummaryPresenter, context: QuietContext, crew: Crew
) -> None:
    """625 ft an hour before, then one row of 100 ft in 12 minutes."""
    planting = crew.notebook.add("planting", bed=crew.bed, sowing=crew.sowing)
    crew.notebook.start_row(planting)
    crew.wait(720)
    crew.notebook.end_row(planting)

    assert SummaryPresenter(context, planting).view.usual == "80% of this crew's usual 625 ft/h, 1 bed"
    assert planted.view.usual == "No earlier beds by this crew to compare."


def test_another_crew_is_no_measure(planted: SummaryPresenter, context: QuietContext, crew: Crew) -> None:
    planting = crew.notebook.add("planting", bed=crew.bed, sowing=crew.sowing)
    crew.notebook.set_crew(planting, [crew.notebook.add("person", name="Ines")])
    crew.notebook.start_row(planting)
    crew.wait(720)
    crew.notebook.end_row(planting)

    assert SummaryPresenter(context, planting).view.usual == planted.view.usual


def test_misses_stand_by_row_with_the_spares_to_carry(planted: SummaryPresenter) -> None:
    view = planted.view

    assert view.fill == "4 misses to fill · carry 5 spare plants"
    assert [(row.text, row.detail, row.sign) for row in view.rows[:2]] == [
        ("Row 1 · 8 min", "0 misses", "✓"),
        ("Row 2 · 8 min", "3 misses", "○"),
    ]


def test_a_row_is_filled_in_two_taps(planted: SummaryPresenter, context: QuietContext, crew: Crew) -> None:
    row = planted.view.rows[1].key
    planted.attempt(planted.fill, row)
    assert context.navigator.went == [("fill", {"planting": crew.planting, "row_pass": row})]

    form = FillForm(context, crew.planting, row)
    shown = (form.view.ask, form.view.value, form.view.forward)
    form.attempt(form.forward)
    planted.reload()

    assert shown == ("Row 2: 3 misses. How many are filled?", 3.0, "Save")
    assert context.navigator.last == "back"
    assert planted.view.rows[1].detail == "3 misses · 3 filled"
    assert planted.view.fill == "1 miss to fill · carry 2 spare plants"


def test_fewer_can_be_filled(planted: SummaryPresenter, context: QuietContext, crew: Crew) -> None:
    form = FillForm(context, crew.planting, planted.view.rows[1].key)
    form.put(2)

    form.attempt(form.forward)

    assert [row.filled for row in crew.state.passes] == [0, 2, 0, 0, 0]


def test_the_last_end_can_be_undone_and_leads_back_to_the_row(
    planted: SummaryPresenter, context: QuietContext, crew: Crew
) -> None:
    shown = planted.view.undo

    planted.attempt(planted.undo)

    assert shown == "Undo: end of row 5"
    assert context.navigator.went == [("row", {"planting": crew.planting})]


def test_undo_of_a_fill_stays_here(planted: SummaryPresenter, context: QuietContext, crew: Crew) -> None:
    crew.notebook.fill(planted.view.rows[1].key, 3)
    planted.reload()
    shown = planted.view.undo

    planted.attempt(planted.undo)

    assert shown == "Undo: fill"
    assert context.navigator.went == []
    assert planted.view.rows[1].detail == "3 misses"


def test_the_finger_that_ended_the_last_row_presses_nothing_here(context: QuietContext, crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    crew.wait(60)
    crew.notebook.end_row(crew.planting)
    summary = SummaryPresenter(context, crew.planting)
    crew.wait(0.5)

    for tap in (summary.today, summary.undo, lambda: summary.fill(summary.view.rows[0].key)):
        summary.attempt(tap)

    assert context.navigator.went == []
    assert context.haptics == [Haptic.REFUSAL] * 3


def test_a_bed_half_way_has_its_figures_too(context: QuietContext, crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    crew.wait(480)
    crew.notebook.end_row(crew.planting)
    crew.wait(60)
    crew.notebook.start_row(crew.planting)

    view = SummaryPresenter(context, crew.planting).view

    assert (view.title, view.fill, len(view.rows)) == ("1 of 5 rows planted", "Nothing to fill.", 1)


@pytest.mark.usefixtures("planted")
def test_a_summary_opened_to_look_has_a_way_back(context: QuietContext, crew: Crew) -> None:
    """Undo is on the row's own screen, and on the summary that the last row leads to."""
    finished = SummaryPresenter(context, crew.planting, with_back=True)
    finished.attempt(finished.back)

    assert (finished.view.undo, finished.view.back) == ("", "Back")
    assert context.navigator.last == "back"


def test_on_with_the_day(planted: SummaryPresenter, context: QuietContext) -> None:
    planted.attempt(planted.today)

    assert context.navigator.last == "today"
