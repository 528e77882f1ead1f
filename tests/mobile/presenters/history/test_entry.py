"""One entry without a window: what it tells, corrected field by field, deleted and put back; and its history."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from sqlmodel import SQLModel

from mobile.presenters.history.entry import MOST_LINES, EntryPresenter
from mobile.presenters.history.entry_field import FieldForm
from mobile.presenters.history.fields import ASKS, fields_of
from shared_models.core.vocabulary import StopReason
from shared_models.errors import UnknownRecord
from shared_models.records.models import KINDS, UNITS
from shared_models.records.tables import PROJECTIONS
from tests.mobile.conftest import Crew
from tests.mobile.presenters.history.test_entries import flag
from tests.mobile.support.quiet_phone import QuietContext

ELEVEN = datetime(2026, 5, 14, 11, 0, tzinfo=UTC)


@pytest.fixture
def row(crew: Crew, context: QuietContext) -> str:
    """A row of eight minutes with three misses, planted by Ines on this phone."""
    notebook = context.notebook
    person = notebook.add("person", name="Ines")
    notebook.change_settings(person=person)
    notebook.set_crew(crew.planting, [person])
    crew.wait(59)
    row = notebook.start_row(crew.planting)
    crew.wait(240)
    notebook.miss(crew.planting, 3)
    crew.wait(240)
    notebook.end_row(crew.planting)
    crew.wait(60)
    return row


def shown(context: QuietContext, kind: str, record: str) -> dict[str, str]:
    return {option.text: option.detail for option in EntryPresenter(context, kind, record).view.fields}


def correct(context: QuietContext, kind: str, record: str, field: str, *answers: Any) -> FieldForm:
    """Answer as a person does: choose a text, or set and go on."""
    form = FieldForm(context, kind, record, field)
    for each in answers:
        if isinstance(each, str) and form.view.kind != "write":
            form.attempt(form.pick, next(option.key for option in form.view.options if option.text == each))
        else:
            form.put(each)
            form.attempt(form.forward)
    return form


def record(context: QuietContext, kind: str, record: str) -> Any:
    with context.notebook.reading() as session:
        found: SQLModel | None = session.get(PROJECTIONS[kind], (context.notebook.farm, record))
    return found


def lines(context: QuietContext, kind: str, record: str) -> list[tuple[str, str]]:
    return [(line.when, line.what) for line in EntryPresenter(context, kind, record).view.lines]


# what is shown


def test_every_field_is_told_in_words(context: QuietContext, row: str) -> None:
    view = EntryPresenter(context, "row_pass", row).view

    assert (view.kind, view.title) == ("Row · today", "Row 1 · North 1 · scallion")
    assert shown(context, "row_pass", row) == {
        "Misses": "3", "Filled": "0", "Doubles": "0", "Row": "1", "Planting": "North 1 · scallion", "Day": "today",
        "Start": "11:01\xa0AM", "End": "11:09\xa0AM", "Crew": "Ines", "Length": "100 ft", "Depth notch": "not entered",
        "Measured depth": "not entered", "Note": "not entered",
    }  # fmt: skip


def test_lengths_are_told_in_metres_where_people_say_metres(context: QuietContext, crew: Crew, row: str) -> None:
    crew.notebook.set_depth(crew.planting, depth_mm=30)
    crew.notebook.change_settings(units="metres")
    context.tune()

    assert shown(context, "row_pass", row)["Length"] == "30.5 m"
    assert shown(context, "sowing", crew.sowing)["Spacing"] == "5.1 cm"


@pytest.mark.parametrize("kind", sorted(ASKS))
def test_everything_that_a_kind_holds_can_be_told_or_is_left_out_on_purpose(kind: str) -> None:
    """A field that is added to a kind has to be found here too."""
    names = {field.name for field in fields_of(kind)}
    names |= {member for name in names for member in UNITS.get(kind, {}).get(name, ())}
    left_out = {"voided", "photo", "wage_per_hour"}

    assert set(KINDS[kind].model_fields) - names - left_out == set()


# corrections


def test_a_miscounted_miss_is_corrected_and_the_history_shows_before_and_after(
    context: QuietContext, crew: Crew, row: str
) -> None:
    form = correct(context, "row_pass", row, "misses", 2)

    assert (form.trouble, context.navigator.last) == ("", "back")
    assert record(context, "row_pass", row).misses == 2
    crew.wait(60)
    assert lines(context, "row_pass", row)[:3] == [
        ("11:10\xa0AM · Ines, this phone", "Misses: 3 → 2"),
        ("11:09\xa0AM · Ines, this phone", "End: 11:09\xa0AM"),
        ("11:05\xa0AM · Ines, this phone", "Misses: 3"),
    ]


def test_the_first_line_says_all_that_was_written_down(context: QuietContext, crew: Crew) -> None:
    ((when, what),) = lines(context, "bed", crew.bed)

    assert when == "11:00\xa0AM · this phone"
    assert what == "Written down:\nName: North 1\nLength: 100 ft\nRows: 5"


def test_a_line_written_behind_another_clock_says_so(context: QuietContext, crew: Crew) -> None:
    """The phone's clock was an hour ahead, and is put right: what is written now comes after, so no time is known."""
    crew.phone.clock.set_wrong_by(timedelta(hours=1))
    person = context.notebook.add("person", name="Ines")
    crew.phone.clock.set_wrong_by(timedelta())
    correct(context, "person", person, "name", "Inés")

    (when, what), _ = lines(context, "person", person)

    assert (when, what) == ("12:00\xa0PM or before · this phone", "Name: Ines → Inés")


def test_what_was_written_elsewhere_says_so(context: QuietContext, crew: Crew) -> None:
    bed = flag(crew, "bed", name="East", length_mm=-3, rows=4)

    assert [when.partition(" · ")[2] for when, _ in lines(context, "bed", bed)] == ["another phone or the office"]


def test_a_long_history_is_cut(context: QuietContext, crew: Crew) -> None:
    for rows in range(MOST_LINES + 2):
        crew.notebook.write("bed", crew.bed, {"rows": 6 + rows})

    text = lines(context, "bed", crew.bed)

    assert len(text) == MOST_LINES + 1
    assert text[-1] == ("and 3 earlier lines", "")


def test_the_same_answer_writes_nothing(context: QuietContext, row: str) -> None:
    before = context.notebook.last_line()

    correct(context, "row_pass", row, "misses", 3)
    correct(context, "row_pass", row, "day", "Today")

    assert context.notebook.last_line() == before
    assert context.navigator.last == "back"


def test_a_start_is_set_in_minutes_and_the_row_lasts_accordingly(context: QuietContext, row: str) -> None:
    form = FieldForm(context, "row_pass", row, "started_at")
    to_text, value = form.view.number.to_text, form.view.value
    assert to_text is not None
    assert value is not None
    form.put(int(value) + 3)
    form.attempt(form.forward)

    assert (to_text(value), to_text(int(value) + 3)) == ("11:01\xa0AM", "11:04\xa0AM")
    found = record(context, "row_pass", row)
    assert found.started.at == ELEVEN + timedelta(minutes=4)
    assert found.started_boot == found.ended_boot
    assert found.ended_boot_ms - found.started_boot_ms == 5 * 60_000


def test_a_row_cannot_end_before_it_starts(context: QuietContext, row: str) -> None:
    """Refused in a clear sentence, and nothing is written; the person is still at the question."""
    before = context.notebook.last_line()
    value = FieldForm(context, "row_pass", row, "ended_at").view.value
    assert value is not None

    form = correct(context, "row_pass", row, "ended_at", int(value) - 20)

    assert form.trouble == "This was not saved: the row ends before it starts. Correct it and save again."
    assert context.notebook.last_line() == before
    assert "back" not in [place for place, _ in context.navigator.went]


def test_a_row_moves_to_another_day_whole(context: QuietContext, row: str) -> None:
    value = FieldForm(context, "row_pass", row, "day").view.value
    assert value is not None

    correct(context, "row_pass", row, "day", value - 1)

    found = record(context, "row_pass", row)
    assert (found.started_at, found.ended_at) == (
        ELEVEN + timedelta(days=-1, minutes=1),
        ELEVEN + timedelta(days=-1, minutes=9),
    )
    assert shown(context, "row_pass", row)["Day"] == "yesterday"
    assert shown(context, "row_pass", row)["Start"] == "yesterday, 11:01\xa0AM"


def test_a_crew_is_chosen_together(context: QuietContext, row: str) -> None:
    june = context.notebook.add("person", name="June")
    form = FieldForm(context, "row_pass", row, "crew")
    chosen = {option.text: option.chosen for option in form.view.options}
    form = correct(context, "row_pass", row, "crew", "June", "Ines")
    form.attempt(form.forward)

    assert chosen == {"Ines": True, "June": False}
    assert record(context, "row_pass", row).crew == [june]


def test_a_stop_gets_another_reason_or_is_taken_away(context: QuietContext, crew: Crew) -> None:
    row = context.notebook.start_row(crew.planting)
    for reason in (StopReason.REST, StopReason.OTHER):
        crew.wait(30)
        context.notebook.stop(crew.planting, reason)
        crew.wait(90)
        context.notebook.go_on(crew.planting)
    text = shown(context, "row_pass", row)["Stops"]

    correct(context, "row_pass", row, "stops", "Other 1 min 30 s", "Chain broke")
    after = shown(context, "row_pass", row)["Stops"]
    correct(context, "row_pass", row, "stops", "Rest 1 min 30 s", "There was no stop")

    assert (text, after) == ("Rest 1 min 30 s, Other 1 min 30 s", "Rest 1 min 30 s, Chain broke 1 min 30 s")
    (left,) = record(context, "row_pass", row).stop_entries
    assert left.reason == StopReason.CHAIN_BROKE


def test_one_row_goes_to_another_planting(context: QuietContext, crew: Crew, row: str) -> None:
    bed = context.notebook.add("bed", name="Creek 2", length_mm=18_288, rows=4)
    to = context.notebook.add("planting", bed=bed, sowing=crew.sowing)

    correct(context, "row_pass", row, "planting", "Creek 2 · scallion")

    found = record(context, "row_pass", row)
    assert (found.planting, found.length_mm) == (to, 18_288)


def test_a_planting_in_another_bed_takes_its_rows_along(context: QuietContext, crew: Crew, row: str) -> None:
    context.notebook.add("bed", name="Creek 2", length_mm=18_288, rows=4)

    correct(context, "planting", crew.planting, "bed", "Creek 2")

    assert shown(context, "planting", crew.planting)["Bed"] == "Creek 2"
    assert record(context, "row_pass", row).length_mm == 18_288


@pytest.mark.parametrize(
    ("kind", "field", "answer", "name", "stored", "expected"),
    [
        ("row_pass", "depth_mm", 1.5, "depth_mm", 38, "1.5 in"),
        ("row_pass", "length_mm", 90, "length_mm", 27_432, "90 ft"),
        ("row_pass", "depth_notch", 3, "depth_notch", 3, "3"),
        ("row_pass", "note", "wind", "note", "wind", "wind"),
        ("soil_check", "feel", "Wet", "feel", "wet", "Wet"),
        ("soil_check", "residue_pct", 15, "residue_pct", 15, "15%"),
        ("soil_check", "soil_c", 50, "soil_c", 10, "50 °F"),
        ("soil_check", "feel", "not entered", "feel", None, "not entered"),
        ("tray_check", "cells_empty", 12, "cells_empty", 12, "12"),
        ("tray_check", "leaves", "not entered", "leaves", None, "not entered"),
        ("tray_check", "roots_hold", "No", "roots_hold", False, "No"),
        ("sowing", "spacing_mm", 6, "spacing_mm", 152.4, "6 in"),
        ("sowing", "label_germination", 92, "label_germination", 0.92, "92%"),
        ("bed", "texture", "Coarse: sand", "texture", "coarse", "Coarse: sand"),
        ("bed", "retired", "Yes", "retired", True, "Yes"),
        ("stand_count", "sample_length_mm", 12, "sample_length_mm", 3658, "12 ft"),
        ("person", "role", "Grower", "role", "grower", "Grower"),
    ],
)
def test_each_kind_of_field_is_corrected_in_its_own_way(
    context: QuietContext,
    crew: Crew,
    row: str,
    kind: str,
    field: str,
    answer: Any,
    name: str,
    stored: Any,
    expected: str,
) -> None:
    ids = {
        "row_pass": row,
        "soil_check": context.notebook.check_soil(crew.bed, feel="moist", residue_pct=8),
        "tray_check": context.notebook.check_trays(crew.sowing, context.today(), 264, 11, leaves=2),
        "sowing": crew.sowing,
        "bed": crew.bed,
        "stand_count": context.notebook.count_stand(crew.planting, 1, 3048, 57),
        "person": context.notebook.setting("person"),
    }

    form = correct(context, kind, ids[kind], field, answer)

    assert form.trouble == ""
    assert getattr(record(context, kind, ids[kind]), name) == stored
    label = next(each.label for each in fields_of(kind) if each.key == field)
    assert shown(context, kind, ids[kind])[label] == expected


def test_a_day_is_set_in_days_and_may_be_none(context: QuietContext, crew: Crew) -> None:
    today = context.today().toordinal()
    correct(context, "sowing", crew.sowing, "sown_on", today - 30)
    sown = shown(context, "sowing", crew.sowing)["Sown"]
    correct(context, "sowing", crew.sowing, "sown_on", today - 365)
    last_year = shown(context, "sowing", crew.sowing)["Sown"]
    correct(context, "sowing", crew.sowing, "sown_on", "not entered")

    assert (sown, last_year) == ("Apr 14", "May 14, 2025")
    assert record(context, "sowing", crew.sowing).sown_on is None


def test_a_soil_check_keeps_its_time_of_day_on_another_day(context: QuietContext, crew: Crew) -> None:
    check = context.notebook.check_soil(crew.bed, feel="moist")
    today = context.today().toordinal()

    correct(context, "soil_check", check, "day", today - 2)

    assert record(context, "soil_check", check).at == context.notebook.now().at - timedelta(days=2)
    assert shown(context, "soil_check", check)["Day"] == "May 12"


def test_a_new_count_of_plants_drops_the_places_on_the_tape(context: QuietContext, crew: Crew) -> None:
    """It was counted otherwise, so no place belongs to a plant any more. The log keeps them."""
    count = context.notebook.count_stand(crew.planting, 1, 3048, 2, positions_mm=[50, 3000])
    text = shown(context, "stand_count", count)["Places on the tape"]
    refused = correct(context, "stand_count", count, "sample_length_mm", 9)

    correct(context, "stand_count", count, "plants", 3)

    assert text == "2 places"
    assert "a plant is past the end of the sample" in refused.trouble
    found = record(context, "stand_count", count)
    assert (found.plants, found.sample_length_mm, found.positions_mm) == (3, 3048, [])


def test_a_point_can_only_be_taken_away(context: QuietContext, row: str) -> None:
    fix = {"end_latitude": 42.4, "end_longitude": -73.5, "end_accuracy_m": 4.0}
    context.notebook.write("row_pass", row, fix)
    text = shown(context, "row_pass", row)["End point"]

    correct(context, "row_pass", row, "end_latitude", "Remove")

    assert text == "42.40000, -73.50000 ± 13 ft"
    found = record(context, "row_pass", row)
    assert [getattr(found, name) for name in fix] == [None, None, None]


# deleted, flagged, unknown


def test_an_entry_is_deleted_and_put_back(context: QuietContext, row: str) -> None:
    entry = EntryPresenter(context, "row_pass", row)
    first = entry.view.void
    entry.attempt(entry.void)
    deleted = (entry.view.notice.text, entry.view.void, record(context, "row_pass", row).voided)
    entry.attempt(entry.void)

    assert first == "Delete"
    assert deleted == ("Deleted: not in any list or report.", "Put back", True)
    assert not record(context, "row_pass", row).voided
    assert [what for _, what in lines(context, "row_pass", row)[:2]] == ["Put back", "Deleted"]


def test_a_flagged_entry_says_why_and_is_corrected_here(context: QuietContext, crew: Crew) -> None:
    bed = flag(crew, "bed", name="East", length_mm=-3, rows=4)
    text = EntryPresenter(context, "bed", bed).view.notice.text
    correct(context, "bed", bed, "length_mm", 100)

    assert text == "Left out of reports until it is corrected. Length cannot be right."
    assert record(context, "bed", bed).length_mm == 30_480
    assert EntryPresenter(context, "bed", bed).view.notice.text == ""


def test_a_flagged_row_gets_its_planting(context: QuietContext, crew: Crew) -> None:
    row = flag(crew, "row_pass", planting="nowhere", row=4, length_mm=1000, started_at="2026-05-14T11:00:00+00:00")

    correct(context, "row_pass", row, "planting", "North 1 · scallion")

    assert record(context, "row_pass", row).planting == crew.planting


def test_a_row_of_a_planting_that_is_not_here_gets_one(context: QuietContext, crew: Crew) -> None:
    fields = {"row": 4, "length_mm": 1000, "started_at": "2026-05-14T11:00:00+00:00"}
    row = context.notebook.add("row_pass", planting=crew.bed, **fields)
    title = EntryPresenter(context, "row_pass", row).view.title

    correct(context, "row_pass", row, "planting", "North 1 · scallion")

    assert title == "Row 4 · unknown bed · unknown crop"
    assert record(context, "row_pass", row).planting == crew.planting


def test_what_makes_no_sense_is_shown_as_it_stands_and_can_be_set_anew(context: QuietContext, crew: Crew) -> None:
    wrong = {"misses": "few", "stops": 7, "crew": "Ines", "row": 2, "started_at": "noon", "planting": crew.planting}
    row = flag(crew, "row_pass", **wrong, length_mm=1000, end_latitude="north")
    texts = shown(context, "row_pass", row)
    for field in fields_of("row_pass"):
        assert FieldForm(context, "row_pass", row, field.key).view.title

    correct(context, "row_pass", row, "misses", 2)

    assert (texts["Misses"], texts["Crew"], texts["Start"]) == ('"few"', '"Ines"', '"noon"')
    assert shown(context, "row_pass", row)["Misses"] == "2"


def test_an_entry_that_is_not_here_is_told(context: QuietContext, crew: Crew) -> None:
    with pytest.raises(UnknownRecord):
        EntryPresenter(context, "bed", crew.planting)
    with pytest.raises(UnknownRecord):
        FieldForm(context, "bed", crew.bed, "colour")
