"""The list of what was logged, without a window: what to correct first, then day by day; pages; one kind."""

from typing import Any
from uuid import UUID

import pytest

from mobile.presenters.history.entries import ALL, EARLIER, PAGE, EntriesPresenter, EntriesView
from shared_models.core import p256
from shared_models.core.revision import Revision, text_of
from shared_models.log.ingest import ingest
from tests.mobile.conftest import Crew
from tests.mobile.support.quiet_phone import QuietContext
from tests.shared_models.log.device import new_device, run_of

DAY_S = 24 * 3600


def flag(crew: Crew, kind: str, /, **fields: Any) -> str:
    """A record that breaks a rule, as it may come from another device."""
    notebook = crew.notebook
    record = notebook.new_id()
    device = new_device(UUID(record).int)
    text = text_of(Revision(device, 1, 1 << 16, kind, record, fields))
    with notebook.writing() as connection:
        assert not ingest(connection, notebook.farm, [run_of(device, text)], p256.verify).refused
    return record


def sections(view: EntriesView) -> dict[str, list[tuple[str, str]]]:
    return {each.title: [(option.text, option.detail) for option in each.options] for each in view.sections}


def pull(crew: Crew, misses: int = 0) -> None:
    crew.notebook.start_row(crew.planting)
    crew.wait(450)
    if misses:
        crew.notebook.miss(crew.planting, misses)
    crew.notebook.end_row(crew.planting)
    crew.wait(60)


def test_entries_stand_under_their_days_and_kinds_the_newest_first(context: QuietContext, crew: Crew) -> None:
    person = crew.notebook.add("person", name="Ines")
    crew.notebook.set_crew(crew.planting, [person])
    crew.wait(DAY_S)
    pull(crew)
    pull(crew, misses=2)
    crew.notebook.check_soil(crew.bed, feel="moist", residue_pct=8)
    crew.notebook.count_stand(crew.planting, 1, 3048, 57)
    crew.notebook.check_trays(crew.sowing, context.today(), 264, 11)

    assert sections(EntriesPresenter(context).view) == {
        "Today · rows": [
            ("Row 2 · North 1 · scallion", "11:08\xa0AM – 11:16\xa0AM · 2 misses · Ines"),
            ("Row 1 · North 1 · scallion", "11:00\xa0AM – 11:07\xa0AM · Ines"),
        ],
        "Today · soil checks": [("North 1", "11:17\xa0AM · Moist · residue 8%")],
        "Today · stand counts": [("North 1 · scallion · row 1", "11:17\xa0AM · 57 plants in 10 ft")],
        "Today · tray checks": [("scallion", "11 of 264 cells empty")],
        "Yesterday · plantings": [("North 1 · scallion", "")],
        "Yesterday · sowings": [("scallion", "2 in")],
        "Yesterday · beds": [("North 1", "100 ft · 5 rows")],
        "Yesterday · people": [("Ines", "Crew")],
    }


def test_a_large_crew_does_not_fill_the_list(context: QuietContext, crew: Crew) -> None:
    names = ["Guadalupe Villanueva", "Ines Hernandez", "June", "Tomas"]
    crew.notebook.set_crew(crew.planting, [crew.notebook.add("person", name=name) for name in names])
    pull(crew)

    ((_, detail),) = sections(EntriesPresenter(context, kind="row_pass").view)["Today · rows"]

    assert detail == "11:00\xa0AM – 11:07\xa0AM · Guadalupe Villanueva, Ines Hernandez and 2 more"


def test_an_entry_can_be_touched(context: QuietContext, crew: Crew) -> None:
    pull(crew)
    row = crew.state.passes[0].id
    page = EntriesPresenter(context)

    page.attempt(page.pick, page.view.sections[0].options[0].key)

    assert context.navigator.went == [("entry", {"kind": "row_pass", "record": row})]


def test_what_is_flagged_comes_first_with_its_reason(context: QuietContext, crew: Crew) -> None:
    pull(crew)
    start, end = "2026-05-14T11:00:00+00:00", "2026-05-14T10:00:00+00:00"
    flag(crew, "row_pass", planting=crew.planting, row=4, length_mm=1000, started_at=start, ended_at=end)
    crew.wait(1)
    flag(crew, "bed", name="East", length_mm=-3, rows=4)

    page = EntriesPresenter(context)

    assert page.view.sections[0].title == "To fix; not in reports until then"
    assert sections(page.view)["To fix; not in reports until then"] == [
        ("East", "Length cannot be right"),
        ("Row 4 · North 1 · scallion", "the row ends before it starts"),
    ]


@pytest.mark.parametrize("fields", [{"name": 7}, {"length_mm": "long"}, {"rows": [1, 2], "name": {"a": 1}}, {}])
def test_what_makes_no_sense_is_shown_as_it_stands(context: QuietContext, crew: Crew, fields: dict[str, Any]) -> None:
    for kind in ("bed", "row_pass", "soil_check", "stand_count", "planting", "sowing", "weather", "tray_check"):
        flag(
            crew, kind, **fields, started_at="noon", stops=7, crew="Ines", on="someday", planting=[1], bed=3, feel="odd"
        )

    (section,) = EntriesPresenter(context, kind="bed").view.sections[:1]

    assert len(section.options) == 1
    assert len(EntriesPresenter(context).view.sections[0].options) == 8


def test_earlier_entries_are_one_touch_away(context: QuietContext, crew: Crew) -> None:
    for number in range(PAGE + 3):
        crew.notebook.add("person", name=f"Person {number}")
        crew.wait(1)
    page = EntriesPresenter(context, kind="person")
    first = [option.text for section in page.view.sections[:-1] for option in section.options]
    page.attempt(page.pick, EARLIER)
    place, args = context.navigator.went[-1]
    second = EntriesPresenter(context, **args).view

    assert (len(first), first[0]) == (PAGE, f"Person {PAGE + 2}")
    assert place == "entries"
    assert [option.text for option in second.sections[0].options] == ["Person 2", "Person 1", "Person 0"]
    assert second.title == "Entries: people"


def test_one_kind_is_two_touches_away(context: QuietContext, crew: Crew) -> None:
    page = EntriesPresenter(context)
    page.attempt(page.by_kind)
    which = EntriesPresenter(context, **context.navigator.went[-1][1])
    which.attempt(which.pick, "bed")
    beds = EntriesPresenter(context, **context.navigator.went[-1][1])
    which.attempt(which.pick, ALL)

    assert list(sections(beds.view)) == ["Today · beds"]
    assert context.navigator.went[-1] == ("entries", {"kind": ""})
    assert crew.bed in beds.view.sections[0].options[0].key


def test_deleted_entries_stay_in_the_list(context: QuietContext, crew: Crew) -> None:
    crew.notebook.void("bed", crew.bed)

    (option,) = EntriesPresenter(context, kind="bed").view.sections[0].options

    assert (option.sign, option.text, option.detail) == ("✕", "North 1", "deleted")


def test_where_nothing_is_logged_it_says_so(context: QuietContext) -> None:
    assert EntriesPresenter(context, kind="soil_check").view.nothing == "Nothing logged yet."


def test_an_id_of_another_make_has_no_day(context: QuietContext, crew: Crew) -> None:
    crew.notebook.write("person", "6ba7b810-9dad-41d1-80b4-00c04fd430c8", {"name": "Old Tom"})

    assert sections(EntriesPresenter(context, kind="person").view) == {"Day unknown · people": [("Old Tom", "Crew")]}
