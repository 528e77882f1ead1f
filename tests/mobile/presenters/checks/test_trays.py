"""The tray check without a window: what is asked, the verdict at once, the figures, what is written."""

from datetime import timedelta
from typing import Any

import pytest

from mobile.presenters.checks.trays import TrayCheckForm
from shared_models.records.tables import TrayCheck
from tests.mobile.conftest import Crew
from tests.mobile.presenters.base.test_form import answer, last
from tests.mobile.support.quiet_phone import QuietContext


def sown(context: QuietContext, crew: Crew, days_ago: int = 50, **more: Any) -> str:
    day = (context.today() - timedelta(days=days_ago)).isoformat()
    context.notebook.write("sowing", crew.sowing, {"code": "SC-1", "sown_on": day} | more)
    return crew.sowing


def test_a_check_is_asked_judged_and_written(context: QuietContext, crew: Crew) -> None:
    form = TrayCheckForm(context)
    answer(form, sown(context, crew), 264, 11, 3)
    before_roots = form.view.notice.text
    answer(form, "yes")
    review = [(option.text, option.detail) for option in form.view.options]
    notice = form.view.notice
    form.attempt(form.forward)

    assert before_roots == "Wait. No cell has been pulled to check the roots. Pull a few cells."
    assert (notice.sign, notice.text, notice.tone) == ("✓", "Ready", "plain")
    assert review[1:] == [("Cells", "264"), ("Empty", "11"), ("Leaves", "3"), ("Roots", "Yes")]
    check = last(context, TrayCheck)
    assert (check.sowing, check.on) == (crew.sowing, context.today())
    assert (check.cells_seen, check.cells_empty, check.leaves, check.roots_hold) == (264, 11, 3, True)
    assert context.navigator.last == "today"


def test_what_was_not_looked_at_is_not_written(context: QuietContext, crew: Crew) -> None:
    form = TrayCheckForm(context)
    answer(form, sown(context, crew), 264, 11, None, None)
    form.attempt(form.forward)

    check = last(context, TrayCheck)
    assert (check.leaves, check.roots_hold) == (None, None)


@pytest.mark.parametrize(
    ("days_ago", "answers", "expected"),
    [
        (
            50,
            (264, 11, 3, "no"),
            "Wait. The mix falls out of the cells: the roots don't hold it yet. Check again in a few days.",
        ),
        (57, (264, 11, 3, "yes"), "Ready. The tray is older than its window. Plant it first."),
        (
            80,
            (264, 11, 3, "yes"),
            (
                "Too old. The tray is so far past its window that roots may tie the cells together and tear the "
                "chain. Unfold a short piece: where it tears, sow again."
            ),
        ),
        (
            50,
            (264, 100, 3, "yes"),
            (
                "Not fit. So many cells are empty that filling would take longer than planting. Sow again, or use "
                "this tray for spare plants."
            ),
        ),
    ],
)
def test_the_verdict_has_its_reason_and_what_would_change_it(
    context: QuietContext, crew: Crew, days_ago: int, answers: tuple[Any, ...], expected: str
) -> None:
    form = TrayCheckForm(context)
    answer(form, sown(context, crew, days_ago), *answers)

    assert form.view.notice.text == expected


def test_the_review_tells_the_empties_the_label_and_the_trays_needed(context: QuietContext, crew: Crew) -> None:
    """Five rows of 100 ft at 2 in are 3,000 plants; 40 empty cells of 264 are more than a label of 95% leaves open."""
    form = TrayCheckForm(context)
    answer(form, sown(context, crew, label_germination=0.95, trays=12), 264, 40, 3, "yes")

    assert form.view.how.splitlines() == [
        "Empty cells per tray: about 40, usually 31 to 50.",
        "Only 85% of the seed came up; the label says 95%.",
        "3,000 plants need 14 trays, 2 of them to make up for empty cells.",
        "Sow 2 more trays.",
    ]


def test_earlier_checks_of_the_sowing_count_too(context: QuietContext, crew: Crew) -> None:
    sowing = sown(context, crew, label_germination=0.9)
    context.notebook.check_trays(sowing, context.today(), 264, 40)
    form = TrayCheckForm(context)
    answer(form, sowing, 264, 20, 3, "yes")

    first, label, *_ = form.view.how.splitlines()
    assert first.startswith("Empty cells per tray: about 30, usually")
    assert label == "89% of the seed came up; the label says 90%."


def test_the_count_of_empties_starts_from_the_label(context: QuietContext, crew: Crew) -> None:
    form = TrayCheckForm(context)
    answer(form, sown(context, crew, label_germination=0.9, cells_per_tray=200))
    cells = form.view.number.start
    answer(form, 100)

    assert (cells, form.view.number.start, form.view.number.highest) == (200, 10, 100)


def test_fewer_cells_than_empty_ones_have_no_verdict_and_are_not_saved(context: QuietContext, crew: Crew) -> None:
    form = TrayCheckForm(context)
    answer(form, sown(context, crew), 264, 50, 3, "yes")
    form.attempt(form.pick, "cells")
    answer(form, 20)
    shown = (form.view.notice.text, form.view.how)
    form.attempt(form.forward)

    assert shown == ("", "")
    assert form.trouble.startswith("This was not saved")
    assert form.view.kind == "review"


def test_a_sowing_is_named_with_its_age(context: QuietContext, crew: Crew) -> None:
    sown(context, crew, variety="Longshank")
    form = TrayCheckForm(context)

    assert [(option.text, option.detail) for option in form.view.options] == [
        ("scallion Longshank", "SC-1 · 50 days old"),
        ("New sowing", ""),
    ]


def test_a_sowing_that_is_not_there_yet_can_be_made(context: QuietContext) -> None:
    answer(TrayCheckForm(context), "new")

    assert context.navigator.last == "sowing"
