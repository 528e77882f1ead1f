"""What slipped is put right by touch: a forgotten tap, another crew, people; and what the app says of itself."""

from collections.abc import Callable

import pytest

from shared_models.core.moments import elapsed_s
from shared_models.records.tables import Person
from tests.mobile.conftest import Crew, crew
from tests.screens.conftest import RunApp
from tests.screens.harness.field import app_on
from tests.screens.harness.probe import Probe

__all__ = ["crew"]


@pytest.fixture
def take(run_app: RunApp, crew: Crew) -> Callable[[], Probe]:
    return lambda: run_app(app_on(crew.phone))


def plant(crew: Crew, seconds: float) -> None:
    crew.notebook.start_row(crew.planting)
    crew.wait(seconds)
    crew.notebook.end_row(crew.planting)
    crew.wait(60)


def test_lunch_between_two_taps_is_two_rows_by_two_touches(take: Callable[[], Probe], crew: Crew) -> None:
    for seconds in (480, 480, 480, 4360):
        plant(crew, seconds)
    probe = take()
    probe.tap("Row 4 looks long. Was there a break?")
    shown = probe.shows("row 4 until about 11:35\xa0AM, row 5 from about 12:31\xa0PM, estimated")
    probe.tap("It was two rows")
    done = probe.shows("All 5 rows planted")
    probe.tap("Undo: row made two")

    assert (shown, done) == (True, True)
    assert probe.shows("Row 4 looks long. Was there a break?")
    assert [elapsed_s(row.started, row.ended or row.started) for row in crew.state.passes] == [480, 480, 480, 4360]


def test_the_offer_does_not_stand_in_the_way_of_the_next_row(take: Callable[[], Probe], crew: Crew) -> None:
    for seconds in (480, 480, 480, 4360):
        plant(crew, seconds)
    probe = take()
    crew.wait(3)
    probe.tap("row_button")

    assert probe.shows("Row 5 of 5")
    assert not probe.shows("looks long")


def test_a_crew_changes_with_the_next_row_by_two_touches(take: Callable[[], Probe], crew: Crew) -> None:
    tomas, ines, june = (crew.notebook.add("person", name=name) for name in ("Tomas", "Ines", "June"))
    for together in ([ines, june], [ines, tomas]):
        crew.notebook.set_crew(crew.planting, together)
        plant(crew, 480)
    crew.notebook.start_row(crew.planting)
    probe = take()
    probe.tap("row_settings")
    probe.tap("Ines, June")
    probe.tap("From the next row on")
    probe.tap("Back to the row")
    crew.wait(480)
    probe.tap("row_button")
    crew.wait(60)
    probe.tap("row_button")

    assert [sorted(row.crew) for row in crew.state.passes[2:]] == [sorted([ines, tomas]), sorted([ines, june])]


def test_somebody_who_left_is_taken_out_by_touch(take: Callable[[], Probe], crew: Crew) -> None:
    ines = crew.notebook.add("person", name="Ines")
    probe = take()
    for touch in ("History", "People", "Ines", "Works here", "No", "Save"):
        probe.tap(touch)

    with crew.notebook.reading() as session:
        person = session.get(Person, (crew.notebook.farm, ines))
    assert probe.shows("No people yet.")
    assert person is not None
    assert person.voided


def test_the_app_says_what_it_is_and_what_to_take_care_of(take: Callable[[], Probe], crew: Crew) -> None:
    probe = take()
    probe.tap("History")
    probe.tap("About and cautions")
    care = probe.shows("look behind you first")
    probe.scroll_to(probe.find("This phone"))
    probe.tap("Back")

    assert care
    assert crew.state.passes == ()
    assert probe.shows("What do you want to see?")
