"""People without a window: who is named, what can be changed, and what a phone never shows."""

import pytest

from mobile.presenters.base.form import NEW
from mobile.presenters.setup.people import PeopleForm
from mobile.presenters.setup.person import EditPersonForm
from shared_models.errors import UnknownRecord
from shared_models.records.tables import Person
from shared_models.reports.common.references import References
from tests.mobile.conftest import Crew
from tests.mobile.support.quiet_phone import QuietContext


@pytest.fixture
def ines(crew: Crew) -> str:
    return crew.notebook.add("person", name="Ines", role="grower", wage_per_hour=21.5)


def known(crew: Crew, person: str) -> Person:
    with crew.notebook.reading() as session:
        found = session.get(Person, (crew.notebook.farm, person))
        assert found is not None
        return found


def test_everybody_with_role_and_phone_but_no_wage(context: QuietContext, crew: Crew, ines: str) -> None:
    crew.notebook.add("person", name="Abel")
    crew.notebook.change_settings(person=ines)

    view = PeopleForm(context).view

    assert view.ask == "Who works here?"
    assert [(each.text, each.detail) for each in view.options] == [
        ("Abel", "Crew"),
        ("Ines", "Grower · has this phone"),
        ("New person", ""),
    ]


def test_an_empty_list_of_people_offers_to_add_one(context: QuietContext) -> None:
    people = PeopleForm(context)

    people.attempt(people.pick, NEW)

    assert people.view.ask == "No people yet."
    assert context.navigator.went == [("person", {})]


def test_a_person_is_touched_to_be_changed(context: QuietContext, ines: str) -> None:
    people = PeopleForm(context)

    people.attempt(people.pick, ines)

    assert context.navigator.went == [("edit_person", {"person": ines})]


def test_name_and_role_are_changed_in_one_line(context: QuietContext, crew: Crew, ines: str) -> None:
    before = crew.notebook.only_here
    form = EditPersonForm(context, ines)
    shown = [(each.text, each.detail) for each in form.view.options]
    form.attempt(form.pick, "name")
    form.put("Inés")
    form.attempt(form.forward)
    form.attempt(form.pick, "role")
    form.attempt(form.pick, "owner")
    form.attempt(form.forward)

    assert shown == [("Name", "Ines"), ("Role", "Grower"), ("This phone", "Someone else"), ("Works here", "Yes")]
    assert (known(crew, ines).name, known(crew, ines).role, known(crew, ines).wage_per_hour) == ("Inés", "owner", 21.5)
    assert crew.notebook.only_here == before + 1
    assert context.navigator.last == "back"


def test_nothing_is_written_when_nothing_was_changed(context: QuietContext, crew: Crew, ines: str) -> None:
    before = crew.notebook.only_here
    form = EditPersonForm(context, ines)

    form.attempt(form.forward)

    assert crew.notebook.only_here == before
    assert crew.notebook.setting("person") is None


def test_who_has_the_phone_stands_by_every_entry_from_then_on(context: QuietContext, crew: Crew, ines: str) -> None:
    form = EditPersonForm(context, ines)
    form.attempt(form.pick, "phone")
    form.attempt(form.pick, "yes")
    form.attempt(form.forward)
    crew.notebook.add("bed", name="South 1", length_mm=30_000, rows=3)

    last = crew.notebook.last_line()

    assert last is not None
    assert last.by == ines


def test_the_phone_goes_to_somebody_else(context: QuietContext, crew: Crew, ines: str) -> None:
    crew.notebook.change_settings(person=ines)
    form = EditPersonForm(context, ines)
    form.attempt(form.pick, "phone")
    form.attempt(form.pick, "no")

    form.attempt(form.forward)

    assert crew.notebook.setting("person") is None


def test_whoever_leaves_is_in_no_list_but_keeps_a_name_in_old_rows(
    context: QuietContext, crew: Crew, ines: str
) -> None:
    crew.notebook.change_settings(person=ines)
    crew.notebook.set_crew(crew.planting, [ines])
    crew.notebook.start_row(crew.planting)
    form = EditPersonForm(context, ines)
    form.attempt(form.pick, "here")
    form.attempt(form.pick, "no")
    form.attempt(form.forward)

    with crew.notebook.reading() as session:
        names = References(session, crew.notebook.farm).people(crew.state.passes[0].crew)
    assert [each.key for each in PeopleForm(context).view.options] == [NEW]
    assert names == ("Ines",)
    assert crew.notebook.setting("person") is None


def test_a_name_cannot_be_emptied(context: QuietContext, crew: Crew, ines: str) -> None:
    form = EditPersonForm(context, ines)
    form.attempt(form.pick, "name")
    form.put("")

    assert not form.view.can_forward
    form.attempt(form.back)
    assert not form.view.can_forward
    assert known(crew, ines).name == "Ines"


def test_somebody_who_is_not_here_is_told(context: QuietContext, crew: Crew) -> None:
    with pytest.raises(UnknownRecord):
        EditPersonForm(context, crew.notebook.new_id())
