"""Questions without a window: one at a time, back and forth, reviewed, saved."""

from datetime import date
from typing import Any

import pytest
from sqlmodel import SQLModel, select

from mobile.presenters.base.form import Form, Question
from mobile.presenters.base.options import Option
from mobile.presenters.checks.stand import StandCountForm
from mobile.presenters.menus import ChecksMenu, HistoryMenu, Menu, NewMenu
from mobile.presenters.setup.bed import BedForm
from mobile.presenters.setup.person import PersonForm
from mobile.presenters.setup.phone_settings import PhoneForm
from mobile.presenters.setup.planting import PlantingForm
from mobile.presenters.setup.sowing import SowingForm
from mobile.presenters.sync.pair import PairForm
from shared_models.core.vocabulary import LengthUnits
from shared_models.records.tables import Bed, Person, Planting, Sowing, StandCount
from shared_models.sync.pairing_link import PairingLink
from tests.mobile.conftest import Crew
from tests.mobile.support.quiet_phone import QuietContext


def answer(form: Form, *answers: Any) -> None:
    """Answer each question as a person does: choose, or set and go on; None skips."""
    for each in answers:
        if form.view.kind == "choose":
            form.attempt(form.pick, each) if each else form.attempt(form.forward)
        else:
            form.put(each)
            form.attempt(form.forward)


def last(context: QuietContext, table: type[Any]) -> Any:
    with context.notebook.reading() as session:
        found: list[SQLModel] = list(session.exec(select(table).order_by(table.id)))
    return found[-1]


def test_a_bed_is_a_name_a_length_and_rows(context: QuietContext) -> None:
    form = BedForm(context)
    shown = (form.view.title, form.view.ask, form.view.can_forward)
    answer(form, "South 2", 120, 4)
    review = [(option.text, option.detail) for option in form.view.options]

    form.attempt(form.forward)

    assert shown == ("New bed, 1 of 3", "What is the bed called?", False)
    assert review == [("Name", "South 2"), ("Length", "120 ft"), ("Rows", "4")]
    bed = last(context, Bed)
    assert (bed.name, bed.length_mm, bed.rows) == ("South 2", 36_576, 4)
    assert context.navigator.last == "back"


def test_an_answer_can_be_changed_in_the_review(context: QuietContext) -> None:
    form = BedForm(context)
    answer(form, "South 2", 120, 4)
    form.attempt(form.pick, "rows")
    again = (form.view.ask, form.view.value)
    answer(form, 5)

    assert again == ("How many rows?", 4.0)
    assert form.view.kind == "review"
    assert form.view.options[2].detail == "5"


def test_back_goes_to_the_question_before_and_out_from_the_first(context: QuietContext) -> None:
    form = BedForm(context)
    answer(form, "South 2", 120)
    form.attempt(form.back)
    before = form.view.ask
    form.attempt(form.back)
    first = form.view.text
    form.attempt(form.back)

    assert (before, first) == ("How long is it?", "South 2")
    assert context.navigator.last == "back"


def test_what_is_wiped_out_again_is_no_answer(context: QuietContext) -> None:
    form = BedForm(context)
    form.put("S")
    form.put("")

    assert not form.view.can_forward


def test_an_entry_that_is_refused_says_what_to_check(context: QuietContext) -> None:
    form = BedForm(context)
    answer(form, "x" * 200, 120, 4)

    form.attempt(form.forward)

    assert form.trouble == "This was not saved. Check: Name."
    assert form.view.kind == "review"


def test_a_sowing_offers_the_crops_sown_before(context: QuietContext) -> None:
    form = SowingForm(context)
    offered = [option.text for option in form.view.options]
    form.attempt(form.pick, "scallion")
    answer(form, 6, None)
    form.attempt(form.forward)

    assert offered == ["scallion"]
    sowing = last(context, Sowing)
    assert (sowing.crop, sowing.code) == ("scallion", "")
    assert sowing.spacing_mm == pytest.approx(152.4)


def test_a_planting_is_a_bed_a_sowing_and_a_day(context: QuietContext, crew: Crew) -> None:
    form = PlantingForm(context)
    answer(form, crew.bed, crew.sowing, "2026-05-15")
    review = [option.detail for option in form.view.options]
    form.attempt(form.forward)

    assert review == ["North 1", "scallion", "Tomorrow"]
    planting = last(context, Planting)
    assert (planting.bed, planting.sowing, planting.planned_on) == (crew.bed, crew.sowing, date(2026, 5, 15))


@pytest.mark.parametrize(("answers", "place"), [(("new",), "bed"), (("bed", "new"), "sowing")])
def test_what_is_not_there_yet_can_be_made_on_the_way(
    context: QuietContext, crew: Crew, answers: tuple[str, ...], place: str
) -> None:
    form = PlantingForm(context)

    answer(form, *(crew.bed if each == "bed" else each for each in answers))

    assert context.navigator.last == place


def test_a_person_is_saved_without_a_second_look(context: QuietContext) -> None:
    form = PersonForm(context)
    form.put("June")
    shown = form.view.forward
    form.attempt(form.forward)

    assert shown == "Save"
    assert last(context, Person).name == "June"


MENUS = {
    NewMenu: ["planting", "bed", "sowing", "person"],
    ChecksMenu: ["soil", "trays", "stand", "tape", "length"],
    HistoryMenu: ["pace", "beds", "entries", "people", "about", "phone"],
}


@pytest.mark.parametrize("menu", MENUS)
def test_a_menu_opens_each_of_its_screens(context: QuietContext, menu: type[Menu]) -> None:
    offered = [option.key for option in menu(context).view.options]
    for place in offered:
        form = menu(context)
        form.attempt(form.pick, place)

    assert offered == MENUS[menu]
    assert [place for place, _ in context.navigator.went] == offered


def test_this_phone_changes_language_and_units_at_once(context: QuietContext, crew: Crew) -> None:
    person = crew.notebook.add("person", name="Ines")
    form = PhoneForm(context)
    now = [option.detail for option in form.view.options]
    for key, value in (("language", "es"), ("units", "metres"), ("person", person)):
        form.attempt(form.pick, key)
        form.attempt(form.pick, value)
    form.attempt(form.forward)

    assert now[:3] == ["English", "Feet and inches", "not entered"]
    assert (context.localizer.language, context.localizer.units) == ("es", LengthUnits.METRES)
    assert crew.notebook.setting("person") == person
    assert PhoneForm(context).view.title == "Este teléfono"


def test_this_phone_says_how_it_answers_a_tap_and_that_can_be_changed(context: QuietContext) -> None:
    form = PhoneForm(context)
    now = {option.text: option.detail for option in form.view.options[3:]}
    for key, value in (("light", "dusk"), ("vibration", "off"), ("voice", "on")):
        form.attempt(form.pick, key)
        form.attempt(form.pick, value)
    form.attempt(form.forward)

    assert now == {"Screen colors": "Sun: dark on light", "Vibration": "Yes", "Sound": "Yes", "Voice": "No"}
    assert [context.preference(name) for name in ("light", "vibration", "sound", "voice")] == [
        "dusk",
        "off",
        "on",
        "on",
    ]


def test_pairing_starts_a_sync(context: QuietContext) -> None:
    form = PairForm(context)
    answer(form, "192.168.1.20:8000", "BCDF-GHJK", "Ines")
    form.attempt(form.forward)

    assert context.sync.pairings == [(PairingLink(("http://192.168.1.20:8000",), "BCDF-GHJK"), "Ines")]
    assert context.navigator.last == "back"


def test_pairing_again_remembers_the_address(context: QuietContext, crew: Crew) -> None:
    crew.notebook.change_settings(server="https://barn.test", phone_name="Ines")
    form = PairForm(context)
    answer(form, form.view.text, "BCDF-GHJK", "Ines")
    form.attempt(form.forward)

    assert context.sync.pairings == [(PairingLink(("https://barn.test",), "BCDF-GHJK"), "Ines")]


def test_a_stand_count_says_the_stand_and_how_sure_it_is(context: QuietContext, crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    crew.notebook.end_row(crew.planting)
    form = StandCountForm(context)
    answer(form, crew.planting, 1, 10)
    start = form.view.number.start
    answer(form, 57)
    shown = form.view.notice.text
    form.attempt(form.forward)

    assert start == 60
    assert shown == "Stand: 95% of 60 plants; likely 86% to 98%."
    count = last(context, StandCount)
    assert (count.planting, count.row, count.sample_length_mm, count.plants) == (crew.planting, 1, 3048, 57)


def test_more_plants_than_places_is_questioned(context: QuietContext, crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    form = StandCountForm(context)
    answer(form, crew.planting, 1, 10, 63)

    assert form.view.notice.sign == "▲"


def test_without_rows_there_is_nothing_to_count(context: QuietContext) -> None:
    view = StandCountForm(context).view

    assert (view.ask, view.options, view.can_forward) == ("No rows planted yet.", (), False)


class _Everybody(Form):
    """Who is here? As many as there are."""

    title = "Crew"
    reviewed = False

    def questions(self) -> list[Question]:
        return [Question("who", "Crew", "Who is here?", (Option("a", "Ana"), Option("b", "Ben")), many=True)]


def test_where_many_can_be_chosen_a_touch_chooses_and_another_takes_it_back(context: QuietContext) -> None:
    form = _Everybody(context)
    for key in ("a", "b", "a"):
        form.attempt(form.pick, key)

    assert [(option.text, option.chosen) for option in form.view.options] == [("Ana", False), ("Ben", True)]
    assert (form.view.ask, form.view.can_forward) == ("Who is here?", True)
