"""Depth, crew, double and note without a window: what is set counts when the person is done."""

import pytest

from mobile.presenters.row.row_settings import NEW_PERSON, RowSettingsPresenter
from shared_models.core.vocabulary import StopReason
from tests.mobile.conftest import Crew
from tests.mobile.support.quiet_phone import QuietContext


@pytest.fixture
def people(crew: Crew) -> list[str]:
    return [crew.notebook.add("person", name=name) for name in ("Tomas", "Ines")]


def test_depth_and_crew_of_the_open_row(context: QuietContext, crew: Crew, people: list[str]) -> None:
    crew.notebook.start_row(crew.planting)
    setting = RowSettingsPresenter(context, crew.planting)
    setting.set_notch(4)
    setting.set_depth(1.25)
    for person in people:
        setting.attempt(setting.pick, person)

    setting.attempt(setting.done)

    row = crew.state.passes[0]
    assert (row.depth_notch, row.depth_mm, row.crew) == (4, 32, people)
    assert context.navigator.last == "back"


def test_before_a_row_it_is_kept_for_the_next_one(context: QuietContext, crew: Crew, people: list[str]) -> None:
    setting = RowSettingsPresenter(context, crew.planting)
    title = setting.view.title
    setting.set_notch(2)
    setting.attempt(setting.pick, people[0])
    setting.attempt(setting.done)

    crew.notebook.start_row(crew.planting)

    assert title == "For row 1"
    assert (crew.state.passes[0].depth_notch, crew.state.passes[0].crew) == (2, [people[0]])


def test_nothing_is_written_when_nothing_was_changed(context: QuietContext, crew: Crew, people: list[str]) -> None:
    crew.notebook.start_row(crew.planting)
    crew.notebook.set_crew(crew.planting, people)
    before = crew.notebook.only_here
    setting = RowSettingsPresenter(context, crew.planting)
    setting.attempt(setting.pick, people[0])
    setting.attempt(setting.pick, people[0])
    setting.set_notch(None)

    setting.attempt(setting.done)

    assert sorted(crew.state.passes[0].crew) == sorted(people)
    assert crew.notebook.only_here - before <= 1  # the order of the crew may have changed


def test_the_crew_is_ticked_by_name(context: QuietContext, crew: Crew, people: list[str]) -> None:
    crew.notebook.start_row(crew.planting)
    crew.notebook.set_crew(crew.planting, people[:1])

    options = RowSettingsPresenter(context, crew.planting).view.people

    assert [(each.text, each.chosen) for each in options] == [("Ines", False), ("Tomas", True), ("New person", False)]


def test_a_new_person_keeps_what_was_set(context: QuietContext, crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    setting = RowSettingsPresenter(context, crew.planting)
    setting.set_notch(5)

    setting.attempt(setting.pick, NEW_PERSON)

    assert context.navigator.last == "person"
    assert crew.state.passes[0].depth_notch == 5


def test_a_double_counts_at_once(context: QuietContext, crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    setting = RowSettingsPresenter(context, crew.planting)

    setting.attempt(setting.double)

    assert (setting.view.double, setting.view.doubles) == ("double, row 1", "1")


def test_a_note_belongs_to_the_row_at_hand(context: QuietContext, crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    crew.notebook.end_row(crew.planting)
    setting = RowSettingsPresenter(context, crew.planting)
    shown = (setting.view.title, setting.view.note)
    setting.write_note("wet at the far end")

    setting.attempt(setting.today)

    assert shown == ("For row 2", "Note, row 1")
    assert crew.state.passes[0].note == "wet at the far end"
    assert context.navigator.last == "today"


def test_without_a_row_there_is_nothing_to_note(context: QuietContext, crew: Crew) -> None:
    view = RowSettingsPresenter(context, crew.planting).view

    assert (view.can_note, view.doubles) == (False, "–")


def test_the_fill_list_is_one_tap_away(context: QuietContext, crew: Crew) -> None:
    setting = RowSettingsPresenter(context, crew.planting)

    setting.attempt(setting.fill)

    assert context.navigator.went == [("summary", {"planting": crew.planting, "with_back": True})]


@pytest.mark.parametrize(("depth_mm", "shown"), [(32, 1.25), (30, 1.2)])
def test_a_depth_set_in_quarter_inches_shows_as_such(
    context: QuietContext, crew: Crew, depth_mm: int, shown: float
) -> None:
    crew.notebook.start_row(crew.planting)
    crew.notebook.set_depth(crew.planting, depth_mm=depth_mm)

    assert RowSettingsPresenter(context, crew.planting).view.depth_now == shown


def test_depth_in_millimeters(context: QuietContext, crew: Crew) -> None:
    crew.notebook.change_settings(units="metres", language="es")
    context.tune()
    crew.notebook.start_row(crew.planting)
    setting = RowSettingsPresenter(context, crew.planting)
    setting.set_depth(35)
    setting.attempt(setting.done)

    assert crew.state.passes[0].depth_mm == 35
    assert (setting.view.depth_how.unit, setting.view.point) == ("mm", ".")


def test_another_crew_is_asked_since_when(context: QuietContext, crew: Crew, people: list[str]) -> None:
    tomas, ines = people
    crew.notebook.start_row(crew.planting)
    crew.notebook.set_crew(crew.planting, [tomas])
    setting = RowSettingsPresenter(context, crew.planting)
    before = setting.view.since
    setting.attempt(setting.pick, ines)

    choices = [(each.text, each.chosen) for each in setting.view.since]
    setting.attempt(setting.done)

    assert (before, choices) == ((), [("All of row 1", True), ("From the next row on", False)])
    assert crew.state.passes[0].crew == [tomas, ines]


def test_from_the_next_row_on_this_one_keeps_its_crew(context: QuietContext, crew: Crew, people: list[str]) -> None:
    tomas, ines = people
    crew.notebook.start_row(crew.planting)
    crew.notebook.set_crew(crew.planting, [tomas])
    setting = RowSettingsPresenter(context, crew.planting)
    setting.attempt(setting.pick, ines)
    setting.attempt(setting.pick_since, "next")
    setting.attempt(setting.done)
    for _ in range(2):
        crew.notebook.end_row(crew.planting)
        crew.wait(60)
        crew.notebook.start_row(crew.planting)

    assert [row.crew for row in crew.state.passes] == [[tomas], [tomas, ines], [tomas, ines]]


def test_what_waits_for_the_next_row_is_shown_and_can_be_for_this_one_after_all(
    context: QuietContext, crew: Crew, people: list[str]
) -> None:
    tomas, ines = people
    crew.notebook.start_row(crew.planting)
    crew.notebook.set_crew(crew.planting, [ines], from_next=True)
    setting = RowSettingsPresenter(context, crew.planting)
    shown = [(each.text, each.chosen) for each in (*setting.view.people[:2], *setting.view.since)]
    setting.attempt(setting.pick_since, "this")
    setting.attempt(setting.done)
    crew.notebook.set_crew(crew.planting, [tomas])
    crew.notebook.end_row(crew.planting)
    crew.wait(60)
    crew.notebook.start_row(crew.planting)

    assert shown == [("Ines", True), ("Tomas", False), ("All of row 1", False), ("From the next row on", True)]
    assert [row.crew for row in crew.state.passes] == [[tomas], [tomas]]


def test_a_crew_that_waits_is_not_written_again(context: QuietContext, crew: Crew, people: list[str]) -> None:
    crew.notebook.start_row(crew.planting)
    crew.notebook.set_crew(crew.planting, people, from_next=True)
    before = crew.notebook.only_here
    setting = RowSettingsPresenter(context, crew.planting)

    setting.attempt(setting.done)

    assert crew.notebook.only_here == before
    assert crew.notebook.next_setting(crew.state, None)["crew"] == people


def test_a_crew_of_late_is_one_touch(context: QuietContext, crew: Crew, people: list[str]) -> None:
    tomas, ines = people
    for together in ([tomas, ines], [tomas], [ines, tomas]):
        crew.notebook.start_row(crew.planting)
        crew.notebook.set_crew(crew.planting, together)
        crew.notebook.end_row(crew.planting)
        crew.wait(60)
    setting = RowSettingsPresenter(context, crew.planting)
    offered = setting.view.crews

    setting.attempt(setting.pick_crew, offered[0].key)
    setting.attempt(setting.done)

    assert [each.text for each in offered] == ["Tomas"]
    assert [each.text for each in setting.view.crews] == ["Ines, Tomas"]
    assert crew.notebook.next_setting(crew.state, None)["crew"] == [tomas]


def test_a_crew_with_somebody_who_left_is_not_offered(context: QuietContext, crew: Crew, people: list[str]) -> None:
    crew.notebook.start_row(crew.planting)
    crew.notebook.set_crew(crew.planting, people)
    crew.notebook.end_row(crew.planting)
    crew.notebook.void("person", people[0])
    setting = RowSettingsPresenter(context, crew.planting)

    assert setting.view.crews == ()


@pytest.mark.parametrize("way", ["move", "length"])
def test_ways_on_keep_what_was_set(context: QuietContext, crew: Crew, way: str) -> None:
    crew.notebook.start_row(crew.planting)
    setting = RowSettingsPresenter(context, crew.planting)
    setting.set_notch(5)

    setting.attempt(getattr(setting, way))

    assert context.navigator.went == [(way, {"planting": crew.planting})]
    assert crew.state.passes[0].depth_notch == 5


def test_a_row_that_was_stopped_can_be_set_too(context: QuietContext, crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    crew.notebook.set_depth(crew.planting, notch=3)
    crew.notebook.stop(crew.planting, StopReason.DEPTH_CHANGE)

    assert RowSettingsPresenter(context, crew.planting).view.notch_now == 3
