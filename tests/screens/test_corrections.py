"""Corrections with real touches: a miscounted miss, a wrong time, an entry deleted and put back, a wrong bed."""

from collections.abc import Callable

import pytest

from mobile.presenters.base.routes import Route
from tests.mobile.conftest import Crew, crew
from tests.screens.conftest import RunApp
from tests.screens.harness.field import app_on
from tests.screens.harness.probe import Probe

__all__ = ["crew"]


@pytest.fixture
def take(run_app: RunApp, crew: Crew) -> Callable[[], Probe]:
    """A row with three misses is planted, then the phone is taken in the hand."""
    crew.notebook.start_row(crew.planting)
    crew.wait(240)
    crew.notebook.miss(crew.planting, 3)
    crew.wait(240)
    crew.notebook.end_row(crew.planting)
    crew.wait(3600)
    return lambda: run_app(app_on(crew.phone))


def test_a_miscounted_miss_is_corrected_and_the_history_shows_before_and_after(
    take: Callable[[], Probe], crew: Crew
) -> None:
    probe = take()
    probe.tap("History")
    probe.tap("Entries and corrections")
    probe.tap("Row 1 · North 1 · scallion")
    probe.tap("Misses")
    probe.tap("less")
    probe.tap("Save")

    assert crew.state.passes[0].misses == 2
    assert (probe.app.screen.view.title, probe.app.screen.view.fields[0].detail) == ("Row 1 · North 1 · scallion", "2")
    probe.scroll_to("Misses: 3 → 2")
    assert probe.shows("Misses: 3 → 2")
    assert probe.shows("12:08\xa0PM · this phone")


def test_a_start_is_set_back_by_minutes(take: Callable[[], Probe], crew: Crew) -> None:
    probe = take()
    probe.app.go(Route.FIELD, kind="row_pass", record=crew.state.passes[0].id, field="started_at")
    before = probe.find("number").shown
    probe.tap("less")
    probe.tap("less")
    after = probe.find("number").shown
    probe.tap("Save")

    assert (before, after) == ("11:00\xa0AM", "10:58\xa0AM")
    row = crew.state.passes[0]
    assert row.ended_boot_ms is not None
    assert row.started_boot_ms is not None
    assert row.ended_boot_ms - row.started_boot_ms == 600_000


def test_what_breaks_a_rule_is_refused_on_the_spot(take: Callable[[], Probe], crew: Crew) -> None:
    probe = take()
    probe.app.go(Route.FIELD, kind="row_pass", record=crew.state.passes[0].id, field="filled")
    for _ in range(4):
        probe.tap("more")
    probe.tap("Save")

    assert probe.shows("This was not saved: more misses were filled than were logged. Correct it and save again.")
    assert probe.find("number").shown == "4"
    assert crew.state.passes[0].filled == 0


def test_an_entry_is_deleted_and_put_back(take: Callable[[], Probe], crew: Crew) -> None:
    row = crew.state.passes[0].id
    probe = take()
    probe.app.go(Route.ENTRY, kind="row_pass", record=row)
    probe.tap("Delete")
    deleted = (probe.shows("Deleted: not in any list or report."), crew.state.passes)
    probe.tap("void")

    assert deleted == (True, ())
    assert [each.id for each in crew.state.passes] == [row]


def test_the_wrong_bed_is_put_right_in_two_taps(take: Callable[[], Probe], crew: Crew) -> None:
    notebook = crew.notebook
    bed = notebook.add("bed", name="Creek 2", length_mm=30_480, rows=4)
    leeks = notebook.add("planting", bed=bed, sowing=notebook.add("sowing", crop="leek", spacing_mm=152.4))
    notebook.start_row(crew.planting)
    probe = take()
    probe.app.go(Route.MOVE, planting=crew.planting)

    probe.tap("Creek 2 · leek")
    said = probe.shows("2 rows to Creek 2 · leek")
    probe.tap("Move")

    assert said
    assert probe.texts()[:2] == ["Creek 2 · leek", "Row 2 of 4"]
    crew.wait(10)
    probe.tap("End row 2")
    assert [row.row for row in notebook.row_state(leeks).passes if row.ended] == [1, 2]


def test_the_way_back_leads_through_the_pages(take: Callable[[], Probe]) -> None:
    probe = take()
    probe.app.go(Route.ENTRIES)
    probe.tap("By kind")
    probe.tap("Beds")
    probe.tap("North 1")
    probe.tap("Back")
    kind = probe.app.screen.view.title
    probe.tap("Back")

    assert (kind, probe.app.screen.view.title) == ("Entries: beds", "Entries")
