"""Every bed's state, and one bed's life, without a window."""

from datetime import timedelta

import pytest

from mobile.presenters.history.bed_history import BedHistoryPresenter, BedHistoryView
from mobile.presenters.history.beds import BedsForm
from shared_models.core.vocabulary import Amount, Feel, Readiness
from tests.mobile.conftest import MORNING, Crew
from tests.mobile.support.quiet_phone import QuietContext

HOUR_S, DAY_S = 3600, 24 * 3600
NEW_BED = ("+", "New bed", "")


def states(context: QuietContext) -> list[tuple[str, str, str]]:
    return [(option.sign, option.text, option.detail) for option in BedsForm(context).view.options]


def life(context: QuietContext, crew: Crew) -> BedHistoryView:
    return BedHistoryPresenter(context, crew.bed).view


def plant(crew: Crew) -> None:
    """Five rows of 100 ft, ten minutes each."""
    for _ in range(5):
        crew.notebook.start_row(crew.planting)
        crew.wait(600)
        crew.notebook.end_row(crew.planting)


def test_every_bed_stands_with_its_state(context: QuietContext, crew: Crew) -> None:
    notebook = crew.notebook
    beds = {name: notebook.add("bed", name=name, length_mm=30_480, rows=3) for name in ("Bed 2", "Bed 10", "Old 1")}
    notebook.check_soil(beds["Old 1"], feel=Feel.MOIST)
    crew.wait(30 * HOUR_S)
    notebook.check_soil(crew.bed, feel=Feel.MOIST)
    notebook.check_soil(beds["Bed 10"], feel=Feel.MOIST, clods=Amount.MANY)
    crew.wait(2 * HOUR_S)
    notebook.check_soil(beds["Bed 2"], feel=Feel.WET)

    assert states(context) == [
        ("▲", "Bed 2", "Wait · about 1 hour ago"),
        ("✕", "Bed 10", "Not fit · about 2 hours ago"),
        ("✓", "North 1", "Ready · about 2 hours ago"),
        ("○", "Old 1", "Check again · about 32 hours ago"),
        NEW_BED,
    ]
    assert BedsForm(context).view.notice.text == "Ready: 1 · Wait: 1 · Not fit: 1 · To check: 1"


def test_a_bed_that_nobody_looked_at_says_so_and_a_retired_one_is_left_out(context: QuietContext, crew: Crew) -> None:
    crew.notebook.add("bed", name="Gone", length_mm=30_480, rows=3, retired=True)

    assert states(context) == [("○", "North 1", "Not checked yet"), NEW_BED]


def test_without_beds_it_says_so(context: QuietContext, crew: Crew) -> None:
    crew.notebook.void("bed", crew.bed)

    view = BedsForm(context).view

    assert (view.ask, states(context), view.notice.text) == ("No beds yet.", [NEW_BED], "")


def test_a_bed_can_be_made_from_the_list(context: QuietContext) -> None:
    form = BedsForm(context)
    form.attempt(form.pick, "new")

    assert context.navigator.last == "bed"


def test_a_bed_leads_to_its_life(context: QuietContext, crew: Crew) -> None:
    form = BedsForm(context)

    form.attempt(form.pick, crew.bed)

    assert context.navigator.went == [("bed_history", {"bed": crew.bed})]


def test_a_new_bed_has_no_life_yet(context: QuietContext, crew: Crew) -> None:
    crew.notebook.void("planting", crew.planting)

    view = life(context, crew)

    assert (view.bed, view.now.text, view.drawing) == ("North 1", "Not checked yet", None)
    assert (view.planted, view.plantings, view.checks_title, view.checks) == ("Nothing planted here yet.", (), "", ())


def test_the_state_now_says_why(context: QuietContext, crew: Crew) -> None:
    crew.notebook.check_soil(crew.bed, feel=Feel.MOIST)
    ready = life(context, crew).now
    crew.wait(HOUR_S)
    crew.notebook.check_soil(crew.bed, feel=Feel.WET)
    wet = life(context, crew).now
    crew.wait(2 * DAY_S)

    assert (ready.sign, ready.text, ready.tone) == ("✓", "Ready", "plain")
    assert (wet.sign, wet.tone) == ("▲", "caution")
    assert wet.text.startswith("Wait. The soil is too wet")
    assert wet.text.endswith("Let it dry and feel the soil again.")
    assert life(context, crew).now.text == "The last check is old: check again."


def test_checks_are_told_with_reason_moisture_and_note_newest_first(context: QuietContext, crew: Crew) -> None:
    crew.notebook.check_soil(crew.bed, feel=Feel.FIELD_CAPACITY, note="puddle at the far end")
    crew.wait(DAY_S)
    crew.notebook.check_soil(crew.bed, feel=Feel.SLIGHTLY_MOIST)
    crew.notebook.check_soil(crew.bed, stones=Amount.FEW)

    checks = life(context, crew).checks

    assert [(check.sign, check.text) for check in checks] == [
        ("▲", "Wait · 11:00\xa0AM"),
        ("✓", "Ready · 11:00\xa0AM"),
        ("▲", "Wait · yesterday, 11:00\xa0AM"),
    ]
    assert checks[0].detail == "no feel test · Nobody has felt the soil yet."
    assert checks[1].detail == "Slightly moist: 25–50% of its water"
    assert checks[2].detail.startswith("As wet as it can hold: 100% of its water · The soil is too wet")
    assert checks[2].detail.endswith(" · puddle at the far end")


def test_plantings_are_told_with_their_rate_and_stand_newest_first(context: QuietContext, crew: Crew) -> None:
    """3,000 cells, 6 misses; 57 of 60 plants stand two weeks later."""
    plant(crew)
    crew.notebook.miss(crew.planting, 6)
    crew.wait(14 * DAY_S)
    crew.notebook.count_stand(crew.planting, 1, 3048, 57)
    planned = (MORNING + timedelta(days=15)).date().isoformat()
    crew.notebook.add("planting", bed=crew.bed, sowing=crew.sowing, planned_on=planned)
    later = crew.notebook.add("planting", bed=crew.bed, sowing=crew.sowing)
    crew.notebook.start_row(later)
    crew.wait(1200)
    crew.notebook.end_row(later)

    plantings = life(context, crew).plantings

    assert [(each.sign, each.text, each.detail) for each in plantings] == [
        ("○", "scallion", "planned tomorrow"),
        ("✓", "scallion · May 28", "100 ft · 300 ft/h · 100% planted"),
        ("✓", "scallion · May 14", "500 ft · 600 ft/h · 99.8% planted · 95% counted May 28"),
    ]


def test_a_planting_without_a_day_is_not_begun(context: QuietContext, crew: Crew) -> None:
    assert [(each.text, each.detail) for each in life(context, crew).plantings] == [("scallion", "not started")]


def test_buttons_open_the_plantings_summary_and_the_beds_soil_check(context: QuietContext, crew: Crew) -> None:
    presenter = BedHistoryPresenter(context, crew.bed)
    presenter.attempt(presenter.planting, crew.planting)
    presenter.attempt(presenter.check)
    presenter.attempt(presenter.back)

    assert context.navigator.went == [
        ("summary", {"planting": crew.planting, "with_back": True}),
        ("soil", {"bed": crew.bed}),
        ("back", {}),
    ]


def test_the_drawing_has_moisture_by_time_and_the_days_of_planting(context: QuietContext, crew: Crew) -> None:
    """Dry, then moist ten days later, planted on that day; drawn ten days after that."""
    crew.notebook.check_soil(crew.bed, feel=Feel.DRY)
    crew.wait(10 * DAY_S)
    crew.notebook.check_soil(crew.bed, feel=Feel.MOIST)
    crew.notebook.check_soil(crew.bed, stones=Amount.MANY)
    plant(crew)
    crew.wait(10 * DAY_S)

    drawing = life(context, crew).drawing

    assert drawing is not None
    assert [spot.readiness for spot in drawing.spots] == [Readiness.WAIT, Readiness.READY]
    assert [spot.wet for spot in drawing.spots] == pytest.approx([0.125, 0.625])
    assert [spot.along for spot in drawing.spots] == pytest.approx([0, 0.5], abs=0.01)
    assert drawing.planted == pytest.approx((0.5,), abs=0.01)
    assert (drawing.begin, drawing.end) == ("May 14", "Today")


def test_the_drawing_covers_a_week_at_least_and_four_months_at_most(context: QuietContext, crew: Crew) -> None:
    crew.notebook.check_soil(crew.bed, feel=Feel.MOIST)
    first = life(context, crew).drawing
    crew.wait(121 * DAY_S)
    none = life(context, crew).drawing

    assert first is not None
    assert (first.begin, [spot.along for spot in first.spots]) == ("May 7", [1])
    assert none is None
