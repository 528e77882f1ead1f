"""Wrong bed or crop chosen: one touch says where the rows belong, one confirms."""

from datetime import timedelta

import pytest

from mobile.presenters.row.move import BED, PLAN, SOWING, WHICH, MoveRowsForm
from mobile.presenters.row.row import RowPresenter
from shared_models.errors import UnknownRecord
from tests.mobile.conftest import Crew
from tests.mobile.support.quiet_phone import QuietContext


@pytest.fixture
def leeks(crew: Crew) -> str:
    bed = crew.notebook.add("bed", name="Creek 2", length_mm=18_288, rows=6)
    sowing = crew.notebook.add("sowing", crop="leek", code="LK-1", spacing_mm=152.4)
    return crew.notebook.add("planting", bed=bed, sowing=sowing, planned_on="2026-05-14")


def pull(crew: Crew, rows: int, planting: str = "") -> None:
    for _ in range(rows):
        crew.notebook.start_row(planting or crew.planting)
        crew.wait(400)
        crew.notebook.end_row(planting or crew.planting)
        crew.wait(60)


def offered(form: MoveRowsForm) -> list[tuple[str, str]]:
    return [(option.text, option.detail) for option in form.view.options]


def test_it_takes_two_touches_and_goes_on_in_the_right_row(context: QuietContext, crew: Crew, leeks: str) -> None:
    pull(crew, 2)
    crew.notebook.start_row(crew.planting)
    form = MoveRowsForm(context, crew.planting)
    form.attempt(form.pick, leeks)
    shown, forward = form.view.ask, form.view.forward
    form.attempt(form.forward)

    assert (shown, forward) == ("3 rows to Creek 2 · leek", "Move")
    assert context.navigator.went == [("today", {}), ("row", {"planting": leeks})]
    state = crew.notebook.row_state(leeks)
    assert [row.row for row in state.passes] == [1, 2, 3]
    assert state.open is not None


@pytest.mark.usefixtures("leeks")
def test_the_days_other_plantings_are_offered_those_begun_first(context: QuietContext, crew: Crew) -> None:
    notebook, day = crew.notebook, context.today()
    done, begun, later = (notebook.add("bed", name=name, length_mm=30_000, rows=1 + (name == "East 2")) for name in
                          ("East 1", "East 2", "East 3"))  # fmt: skip
    for bed, rows in ((done, 1), (begun, 1)):
        pull(crew, rows, notebook.add("planting", bed=bed, sowing=crew.sowing, planned_on=day.isoformat()))
    notebook.add("planting", bed=later, sowing=crew.sowing, planned_on=(day + timedelta(days=1)).isoformat())
    pull(crew, 1)

    assert offered(MoveRowsForm(context, crew.planting)) == [
        ("East 2 · scallion", "1 of 2 rows planted"),
        ("Creek 2 · leek", "LK-1 · not started"),
        ("Another bed, still scallion", "adds a planting"),
        ("Another crop, still North 1", "adds a planting"),
        ("The planting itself is wrong", "its rows stay with it"),
    ]


@pytest.mark.parametrize(("what", "choice", "expected"), [
    (BED, "Creek 2", "1 row to Creek 2 · scallion"), (SOWING, "leek (LK-1)", "1 row to North 1 · leek"),
])  # fmt: skip
def test_a_planting_that_is_not_there_yet_is_made(
    context: QuietContext, crew: Crew, leeks: str, what: str, choice: str, expected: str
) -> None:
    pull(crew, 1)
    form = MoveRowsForm(context, crew.planting)
    form.attempt(form.pick, what)
    form.attempt(form.pick, next(option.key for option in form.view.options if option.text == choice))
    confirmed = form.view.ask
    form.attempt(form.forward)

    assert confirmed == expected
    made = context.navigator.went[-1][1]["planting"]
    assert made not in (crew.planting, leeks)
    state = crew.notebook.row_state(made)
    assert f"1 row to {state.bed} · {state.crop}" == expected
    assert len(state.passes) == 1


def test_a_planting_that_is_there_is_not_made_twice(context: QuietContext, crew: Crew, leeks: str) -> None:
    """The right bed has a planting of this crop already, planned for next week."""
    bed = crew.notebook.row_state(leeks).bed_id
    there = crew.notebook.add("planting", bed=bed, sowing=crew.sowing, planned_on="2026-05-21")
    pull(crew, 1)
    form = MoveRowsForm(context, crew.planting)
    form.attempt(form.pick, BED)
    form.attempt(form.pick, bed)
    form.attempt(form.forward)

    assert context.navigator.went[-1] == ("row", {"planting": there})


def test_new_numbers_are_told_before(context: QuietContext, crew: Crew, leeks: str) -> None:
    pull(crew, 2, leeks)
    pull(crew, 2)
    form = MoveRowsForm(context, crew.planting)
    form.attempt(form.pick, leeks)

    assert form.view.notice.text == "New row numbers: 1 → 3, 2 → 4"


def test_a_bed_with_too_few_rows_is_told_before(context: QuietContext, crew: Crew, leeks: str) -> None:
    pull(crew, 4, leeks)
    pull(crew, 3)
    form = MoveRowsForm(context, crew.planting)
    form.attempt(form.pick, leeks)

    assert (form.view.notice.tone, form.view.notice.text) == (
        "caution", "Creek 2 has only 6 rows. Check the numbers after.",
    )  # fmt: skip


def test_a_bed_that_is_full_then_leads_to_its_summary(context: QuietContext, crew: Crew, leeks: str) -> None:
    pull(crew, 4, leeks)
    pull(crew, 2)
    form = MoveRowsForm(context, crew.planting)
    form.attempt(form.pick, leeks)
    form.attempt(form.forward)

    assert context.navigator.went[-1] == ("summary", {"planting": leeks})


def test_rows_of_earlier_days_stay_unless_somebody_says_otherwise(
    context: QuietContext, crew: Crew, leeks: str
) -> None:
    pull(crew, 2)
    crew.wait(24 * 3600)
    pull(crew, 1)
    form = MoveRowsForm(context, crew.planting)
    form.attempt(form.pick, leeks)
    first = (form.view.ask, offered(form))
    form.attempt(form.pick, WHICH)
    form.attempt(form.pick, "every")

    assert first == ("1 row to Creek 2 · leek", [("To", "Creek 2 · leek"), ("Rows", "1 row of this phone")])
    assert form.view.ask == "3 rows to Creek 2 · leek"
    form.attempt(form.forward)
    assert [row.row for row in crew.notebook.row_state(leeks).passes] == [1, 2, 3]


def test_the_choice_can_be_changed_before_it_is_confirmed(context: QuietContext, crew: Crew, leeks: str) -> None:
    pull(crew, 1)
    form = MoveRowsForm(context, crew.planting)
    form.attempt(form.pick, leeks)
    form.attempt(form.back)
    form.attempt(form.pick, SOWING)
    ask = form.view.ask
    form.attempt(form.back)
    form.attempt(form.pick, leeks)

    assert ask == "Which sowing is it?"
    assert form.view.ask == "1 row to Creek 2 · leek"


def test_a_planting_made_wrongly_is_corrected_as_an_entry(context: QuietContext, crew: Crew) -> None:
    form = MoveRowsForm(context, crew.planting)
    form.attempt(form.pick, PLAN)

    assert context.navigator.went == [("entry", {"kind": "planting", "record": crew.planting})]


def test_without_rows_nothing_is_moved(context: QuietContext, crew: Crew, leeks: str) -> None:
    form = MoveRowsForm(context, crew.planting)
    form.attempt(form.pick, leeks)
    form.attempt(form.forward)

    assert form.trouble == "There is no row to move here. Start the row first."


def test_a_planting_that_is_deleted_has_no_rows_to_move(context: QuietContext, crew: Crew) -> None:
    crew.notebook.void("planting", crew.planting)

    with pytest.raises(UnknownRecord):
        MoveRowsForm(context, crew.planting)


def test_one_undo_in_the_row_takes_the_move_back(context: QuietContext, crew: Crew, leeks: str) -> None:
    pull(crew, 2)
    crew.notebook.move_rows(crew.planting, leeks)
    row = RowPresenter(context, leeks)
    shown = row.view.undo
    row.attempt(row.undo)

    assert (shown, row.view.undo) == ("Undo: move of rows", "Put back: move of rows")
    assert len(crew.state.passes) == 2
