"""What a person can do in the notebook, and what is on the disk afterwards."""

from concurrent.futures import ThreadPoolExecutor, wait
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from sqlmodel import select

from mobile.demo.fake_phone import FakePhone
from mobile.log.notebook import Notebook
from mobile.log.rows import Change, RowTap, begun_rows
from mobile.log.settings import write_settings
from shared_models.core.moments import elapsed_s
from shared_models.core.vocabulary import Feel, StopReason
from shared_models.errors import BadEntry, StorageError, UnknownRecord, WrongMoment
from shared_models.log import log
from shared_models.log.verify import verify
from shared_models.records.tables import Bed, RowPass, SoilCheck, StandCount, TrayCheck
from tests.mobile.conftest import MORNING, Crew, plan_bed


def test_a_row_costs_two_taps(crew: Crew) -> None:
    first = crew.notebook.tap_row(crew.planting)
    crew.wait(450)
    second = crew.notebook.tap_row(crew.planting)

    (row,) = crew.state.passes
    assert (first[0], second[0]) == (RowTap.STARTED, RowTap.ENDED)
    assert row.ended is not None
    assert elapsed_s(row.started, row.ended) == 450
    assert (row.row, row.length_mm) == (1, 30_480)


def test_a_five_row_bed_with_three_misses_costs_fourteen_taps(crew: Crew) -> None:
    """Choosing the planting is the first tap; then two a row and one a miss."""
    taps = 1
    for row in range(5):
        crew.wait(60)
        crew.notebook.tap_row(crew.planting)
        crew.wait(400)
        for _ in range(1 if row < 3 else 0):
            crew.notebook.miss(crew.planting)
            taps += 1
        crew.notebook.tap_row(crew.planting)
        taps += 2

    assert taps == 14
    assert crew.state.finished
    assert sum(row.misses for row in crew.state.passes) == 3


def test_a_bouncing_glove_is_one_tap(crew: Crew) -> None:
    crew.notebook.tap_row(crew.planting)
    crew.wait(1.4)
    bounced = crew.notebook.tap_row(crew.planting)
    crew.wait(0.2)
    meant = crew.notebook.tap_row(crew.planting)

    assert (bounced[0], meant[0]) == (RowTap.IGNORED, RowTap.ENDED)
    assert len(crew.state.passes) == 1


def test_a_bounce_is_noticed_whatever_the_wall_clock_does(crew: Crew) -> None:
    crew.notebook.tap_row(crew.planting)
    crew.phone.clock.set_wrong_by(timedelta(days=400))

    assert crew.notebook.tap_row(crew.planting)[0] is RowTap.IGNORED


def test_a_row_is_timed_right_while_the_clock_is_set_wrong(crew: Crew) -> None:
    crew.notebook.tap_row(crew.planting)
    crew.wait(200)
    crew.phone.clock.set_wrong_by(timedelta(hours=-9))
    crew.wait(250)
    crew.notebook.tap_row(crew.planting)

    row = crew.state.passes[0]
    assert row.ended is not None
    assert row.ended.at < row.started.at
    assert elapsed_s(row.started, row.ended) == 450


@pytest.mark.parametrize("year", [1970, 2099])
def test_an_entry_is_saved_with_any_clock(tmp_path: Path, year: int) -> None:
    """No network, no server, and a clock set to 1970 or 2099: the entry is saved and stands in its table."""
    phone = FakePhone(tmp_path, datetime(year, 1, 1, 0, 10, tzinfo=UTC))
    crew = plan_bed(phone)

    crew.notebook.tap_row(crew.planting)
    phone.clock.set_wrong_by(-timedelta(days=30))
    crew.wait(400)
    crew.notebook.tap_row(crew.planting)

    assert crew.state.passes[0].ended is not None


def test_a_row_ends_though_the_phone_was_rebooted_with_its_clock_set_back(crew: Crew) -> None:
    """The battery is changed in the row and the clock starts in 1970: the end is saved, nothing is refused."""
    crew.notebook.start_row(crew.planting)
    crew.notebook.stop(crew.planting, StopReason.OTHER)
    crew.phone.clock.reboot()
    crew.phone.clock.set_wrong_by(datetime(1970, 1, 1, tzinfo=UTC) - MORNING)
    crew.wait(400)

    crew.notebook.end_row(crew.planting)

    assert crew.state.passes[0].ended is not None


def test_crew_and_depth_go_on_to_the_next_row(crew: Crew) -> None:
    person = crew.notebook.add("person", name="Ines")
    crew.notebook.start_row(crew.planting)
    crew.notebook.set_crew(crew.planting, [person])
    crew.notebook.set_depth(crew.planting, notch=3, depth_mm=30)
    crew.notebook.end_row(crew.planting)

    crew.notebook.start_row(crew.planting)

    row = crew.state.open
    assert row is not None
    assert (row.row, row.crew, row.depth_notch, row.depth_mm) == (2, [person], 3, 30)


def test_between_rows_crew_and_depth_are_the_next_rows(crew: Crew) -> None:
    """A change at the headland does not rewrite the row that is done."""
    ines, june = (crew.notebook.add("person", name=name) for name in ("Ines", "June"))
    crew.notebook.set_crew(crew.planting, [ines])
    crew.notebook.start_row(crew.planting)
    crew.notebook.end_row(crew.planting)

    crew.notebook.set_crew(crew.planting, [june])
    crew.notebook.set_depth(crew.planting, notch=4)
    crew.phone.kill()
    crew.notebook.start_row(crew.planting)

    set_in = {row.row: (row.crew, row.depth_notch) for row in crew.state.passes}
    assert set_in == {1: ([ines], None), 2: ([june], 4)}


def test_what_was_set_for_the_next_row_is_used_once(crew: Crew) -> None:
    crew.notebook.set_depth(crew.planting, notch=4)
    crew.notebook.start_row(crew.planting)
    crew.notebook.set_depth(crew.planting, notch=5)
    crew.notebook.end_row(crew.planting)

    crew.notebook.start_row(crew.planting)

    assert [row.depth_notch for row in crew.state.passes] == [5, 5]


@pytest.mark.parametrize(("hours", "goes_on"), [(1, True), (14, False)])
def test_the_crew_goes_on_to_the_next_bed_of_the_same_day(crew: Crew, hours: float, goes_on: bool) -> None:
    """So does the notch; a depth that was measured in another bed does not."""
    person = crew.notebook.add("person", name="Ines")
    other = crew.notebook.add("planting", bed=crew.bed, sowing=crew.sowing)
    crew.notebook.start_row(crew.planting)
    crew.notebook.set_crew(crew.planting, [person])
    crew.notebook.set_depth(crew.planting, notch=3, depth_mm=30)
    crew.notebook.end_row(crew.planting)

    crew.wait(hours * 3600)
    crew.notebook.start_row(other)

    (row,) = crew.notebook.row_state(other).passes
    assert (row.crew, row.depth_notch, row.depth_mm) == (([person], 3, None) if goes_on else ([], None, None))


def test_the_rows_begun_are_counted_by_planting(crew: Crew) -> None:
    other = crew.notebook.add("planting", bed=crew.bed, sowing=crew.sowing)
    for _ in range(2):
        crew.notebook.start_row(crew.planting)
        crew.notebook.end_row(crew.planting)
    crew.notebook.start_row(crew.planting, row=2)
    crew.notebook.start_row(other)
    crew.notebook.undo()

    with crew.notebook.reading() as session:
        assert begun_rows(session, crew.notebook.farm) == {crew.planting: (2, 1)}


def test_the_last_line_is_the_one_undo_would_take_back(crew: Crew) -> None:
    row = crew.notebook.start_row(crew.planting)
    crew.notebook.miss(crew.planting)

    last = crew.notebook.last_line()

    assert last is not None
    assert (last.record, last.set) == (row, {"misses": 1})


def test_a_stop_has_a_reason_and_two_ends(crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    crew.notebook.stop(crew.planting, StopReason.CHAIN_BROKE)
    crew.wait(95)
    crew.notebook.go_on(crew.planting)

    (stop,) = crew.state.passes[0].stop_entries
    assert stop.reason == StopReason.CHAIN_BROKE
    assert stop.ended is not None
    assert elapsed_s(stop.began, stop.ended) == 95


def test_ending_a_stopped_row_ends_the_stop(crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    crew.notebook.stop(crew.planting, StopReason.REST)
    crew.wait(30)

    crew.notebook.end_row(crew.planting)

    (stop,) = crew.state.passes[0].stop_entries
    assert stop.ended is not None


def test_actions_out_of_turn_say_what_to_do(crew: Crew) -> None:
    with pytest.raises(WrongMoment, match="Start the row first"):
        crew.notebook.end_row(crew.planting)
    with pytest.raises(WrongMoment, match="Start the row first"):
        crew.notebook.miss(crew.planting)
    crew.notebook.start_row(crew.planting)
    with pytest.raises(WrongMoment, match="End it first"):
        crew.notebook.start_row(crew.planting)
    with pytest.raises(WrongMoment, match="not stopped"):
        crew.notebook.go_on(crew.planting)
    crew.notebook.stop(crew.planting, StopReason.REST)
    with pytest.raises(WrongMoment, match="Go on first"):
        crew.notebook.stop(crew.planting, StopReason.REST)


def test_a_planted_bed_takes_no_further_row(crew: Crew) -> None:
    for _ in range(5):
        crew.notebook.start_row(crew.planting)
        crew.notebook.end_row(crew.planting)

    with pytest.raises(WrongMoment, match="Choose the next bed"):
        crew.notebook.start_row(crew.planting)


def test_rows_need_a_planting_that_is_known(crew: Crew) -> None:
    with pytest.raises(UnknownRecord, match="sync"):
        crew.notebook.start_row(crew.notebook.new_id())


def test_undo_takes_back_the_last_entry_and_gives_it_back(crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    crew.notebook.miss(crew.planting)
    crew.notebook.miss(crew.planting)

    crew.notebook.undo()
    after_undo = crew.state.passes[0].misses
    crew.notebook.undo()

    assert (after_undo, crew.state.passes[0].misses) == (1, 2)


def test_undo_of_a_start_takes_the_row_away(crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)

    crew.notebook.undo()

    assert crew.state.open is None
    assert crew.state.next_row == 1


def test_undo_of_an_end_opens_the_row_again(crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    crew.wait(400)
    crew.notebook.end_row(crew.planting)

    crew.notebook.undo()

    assert crew.state.open is not None


def test_undo_on_an_empty_phone_says_so(tmp_path: Path) -> None:
    with pytest.raises(WrongMoment, match="nothing to undo"):
        FakePhone(tmp_path, MORNING).notebook.undo()


@pytest.mark.parametrize(
    ("kind", "fields", "expected"),
    [
        ("bed", {"name": "Far", "length_mm": -3, "rows": 2}, "length_mm"),
        ("bed", {"name": "Far", "length_mm": 30_000, "rows": 0}, "rows"),
        ("bed", {"name": "", "length_mm": 30_000, "rows": 2}, "name"),
        ("bed", {"name": "Far", "length_mm": float("nan"), "rows": 2}, "length_mm"),
        ("weather", {"on": "2026-05-14", "rain_mm": float("nan")}, "rain_mm"),
        ("weather", {"on": "2026-05-14", "t_min_c": 9.0, "t_max_c": 3.0}, "below the coldest"),
        ("bed", {"name": "Far", "length_mm": 30_000, "rows": 2, "block": "x" * 1_000_000}, "block"),
        ("crop_circle", {"name": "?"}, "no such kind"),
    ],
)
def test_a_bad_entry_is_refused_with_its_reason_and_nothing_is_lost(
    crew: Crew, kind: str, fields: dict[str, object], expected: str
) -> None:
    before = crew.notebook.only_here

    with pytest.raises(BadEntry, match=expected):
        crew.notebook.add(kind, **fields)

    assert crew.notebook.only_here == before


def test_a_megabyte_of_note_is_refused_and_the_row_stays(crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)

    with pytest.raises(BadEntry, match="note"):
        crew.notebook.note_row(crew.planting, "mud " * 250_000)

    assert crew.state.open is not None


def test_more_fills_than_misses_are_refused(crew: Crew) -> None:
    row = crew.notebook.start_row(crew.planting)
    crew.notebook.miss(crew.planting)

    with pytest.raises(BadEntry, match="more misses were filled"):
        crew.notebook.fill(row, 2)


def test_a_voided_record_leaves_the_lists_and_keeps_its_lines(crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    row = crew.state.passes[0].id

    crew.notebook.void("row_pass", row)

    with crew.notebook.reading() as session:
        kept = session.get(RowPass, (crew.notebook.farm, row))
    assert crew.state.passes == ()
    assert kept is not None
    assert kept.voided


def test_looks_at_soil_trays_and_stand_are_records(crew: Crew) -> None:
    notebook = crew.notebook
    notebook.check_soil(crew.bed, tilled_at=MORNING, feel=Feel.MOIST, residue_pct=8.0)
    notebook.count_stand(crew.planting, 1, 3_048, 57)
    notebook.check_trays(crew.sowing, date(2026, 5, 14), cells_seen=264, cells_empty=11, roots_hold=True)

    with notebook.reading() as session:
        soil = session.exec(select(SoilCheck)).one()
        stand = session.exec(select(StandCount)).one()
        trays = session.exec(select(TrayCheck)).one()
    assert (soil.feel, soil.tilled_at, soil.at) == (Feel.MOIST, MORNING, MORNING)
    assert (stand.plants, stand.row) == (57, 1)
    assert trays.cells_empty == 11


def test_the_app_opens_in_the_row_it_was_in(crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    crew.notebook.miss(crew.planting)

    crew.phone.kill()

    assert crew.notebook.current_planting() == crew.planting
    assert crew.state.open is not None
    assert crew.state.open.misses == 1


def test_a_finished_bed_is_not_gone_back_to(crew: Crew) -> None:
    for _ in range(5):
        crew.notebook.start_row(crew.planting)
        crew.notebook.end_row(crew.planting)

    assert crew.notebook.current_planting() is None


def test_the_last_row_is_the_one_written_last_whatever_the_clock(crew: Crew) -> None:
    """With the clock set back, a later row has an earlier id; it is the last all the same."""
    crew.notebook.start_row(crew.planting)
    crew.notebook.end_row(crew.planting)
    crew.phone.clock.set_wrong_by(-timedelta(days=1))
    crew.wait(60)

    crew.notebook.start_row(crew.planting)
    crew.notebook.end_row(crew.planting)

    assert crew.state.last is not None
    assert crew.state.last.row == 2


def test_logging_before_pairing_goes_with_the_phone(crew: Crew) -> None:
    farm = crew.notebook.new_id()
    crew.notebook.start_row(crew.planting)

    crew.notebook.join_farm(farm)

    assert crew.state.open is not None
    with crew.notebook.reading() as session:
        assert session.get(Bed, (farm, crew.bed)) is not None
        assert list(verify(session.connection(), farm)) == []


def test_a_tap_while_the_phone_joins_a_farm_waits_and_is_kept(crew: Crew) -> None:
    """The sync client pairs in its own thread; the person goes on tapping, and opens other screens."""
    farm = crew.notebook.new_id()
    crew.notebook.start_row(crew.planting)

    with ThreadPoolExecutor(2) as hands:
        with crew.notebook.exclusive() as connection:
            log.change_farm(connection, crew.notebook.farm, farm)
            write_settings(connection, {"farm": farm})
            tap = hands.submit(crew.notebook.miss, crew.planting)
            look = hands.submit(crew.notebook.row_state, crew.planting)
            waited = not wait([tap], timeout=0.1).done and not look.done()

        assert waited
        assert [row.misses for row in tap.result(timeout=5).passes] == [1]
        assert look.result(timeout=5).bed == "North 1"
    assert crew.notebook.farm == farm
    with crew.notebook.reading() as session:
        assert list(verify(session.connection(), farm)) == []


def test_a_farm_is_not_joined_in_the_middle_of_a_look(crew: Crew) -> None:
    farm = crew.notebook.new_id()

    with ThreadPoolExecutor(1) as sync_client:
        with crew.notebook.reading() as session:
            joining = sync_client.submit(crew.notebook.join_farm, farm)
            waited = not wait([joining], timeout=0.1).done
            seen = session.get(Bed, (crew.notebook.farm, crew.bed))
        joining.result(timeout=5)

    assert waited
    assert seen is not None
    assert crew.notebook.farm == farm


def test_a_full_disk_is_told_and_what_was_saved_stays(crew: Crew) -> None:
    crew.notebook.start_row(crew.planting)
    with crew.notebook.engine.connect() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
        connection.exec_driver_sql(f"PRAGMA max_page_count={pages}")

    with pytest.raises(StorageError, match="Everything saved before is safe"):
        _add_beds(crew.notebook, 2_000)

    assert crew.state.open is not None


def _add_beds(notebook: Notebook, count: int) -> None:
    for _ in range(count):
        notebook.add("bed", name="Far", length_mm=30_000, rows=2, block="x" * 100)


def test_several_lines_are_one_action_for_undo(crew: Crew) -> None:
    notebook = crew.notebook
    notebook.start_row(crew.planting)
    row, bed = crew.state.passes[0].id, notebook.new_id()
    changes = [
        Change("row_pass", row, {"misses": 3}),
        Change("bed", bed, {"name": "South 1", "length_mm": 30_000, "rows": 3}),
    ]
    notebook.write_together("row made two", changes)
    named = notebook.action_name(notebook.last_line())

    undone = notebook.undo()
    after_undo = (crew.state.passes[0].misses, bed in beds_here(notebook))
    notebook.undo()

    assert named == notebook.action_name(notebook.last_line()) == "row made two"
    assert undone.record == row
    assert after_undo == (0, False)
    assert (crew.state.passes[0].misses, bed in beds_here(notebook)) == (3, True)


def test_what_is_written_after_an_action_is_undone_by_itself(crew: Crew) -> None:
    notebook = crew.notebook
    notebook.start_row(crew.planting)
    notebook.write_together("rest added", [Change("row_pass", crew.state.passes[0].id, {"misses": 3})])
    notebook.double(crew.planting)

    notebook.undo()

    assert notebook.action_name(notebook.last_line()) == ""
    assert (crew.state.passes[0].misses, crew.state.passes[0].doubles) == (3, 0)


def test_an_action_is_undone_whole_after_the_app_was_killed(crew: Crew) -> None:
    made = [crew.notebook.new_id() for _ in range(3)]
    fields = {"name": "South", "length_mm": 30_000, "rows": 3}
    crew.notebook.write_together("three beds", [Change("bed", bed, fields) for bed in made])
    before = beds_here(crew.notebook)

    crew.phone.kill()
    crew.notebook.undo()

    assert before == {crew.bed, *made}
    assert beds_here(crew.notebook) == {crew.bed}


def beds_here(notebook: Notebook) -> set[str]:
    """The beds that were not taken out."""
    with notebook.reading() as session:
        return {bed.id for bed in session.exec(select(Bed)) if not bed.voided}
