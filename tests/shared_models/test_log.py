"""What any log does, whatever database it is kept in: `device` is each kind, the others are phones beside it."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import delete, update

from shared_models import log
from shared_models.clock import CEILING, LATEST
from shared_models.errors import BadEntry, Fork, OtherFarm
from shared_models.log import Run
from shared_models.prepared import AT_ONCE
from shared_models.projection import RecordKey, histories
from shared_models.records import KINDS
from shared_models.revision import MAX_LINE_BYTES, root
from shared_models.store import reading, writing
from shared_models.tables import (
    Bed,
    Farm,
    Flagged,
    Line,
    Log,
    Person,
    RowPass,
    SetAside,
    table_of,
)
from shared_models.verify import verify
from tests.shared_models.device import (
    A_BED,
    A_ROW,
    ANA,
    BED,
    FARM,
    OFFICE,
    OTHER_FARM,
    PHONE,
    PLANTING,
    PLENTY,
    ROW,
    SOWING,
    TABLET,
    Device,
    DeviceMaker,
    an_id,
    line,
    run_of,
)

# ---------------------------------------------------------------------- append


def test_what_is_written_stands_in_its_table(device: Device) -> None:
    device.write("bed", BED, **A_BED)

    (bed,) = device.rows(Bed)

    assert (bed["farm_id"], bed["id"], bed["name"], bed["length_mm"], bed["rows"]) == (FARM, BED, "Bed 1", 30_480, 5)
    assert device.complaints() == []


def test_a_line_holds_only_what_changed_and_who_changed_it(device: Device) -> None:
    device.write("bed", BED, **A_BED)

    device.write("bed", BED, by=ANA, rows=4)

    first, second = (json.loads(text) for text in device.texts())
    assert (first["seq"], first["by"], first["set"]) == (1, None, A_BED)
    assert (second["seq"], second["by"], second["set"]) == (2, ANA, {"rows": 4})
    assert device.rows(Bed)[0]["rows"] == 4


def test_the_next_line_is_ordered_after_everything_held_whatever_the_wall_clock_says(device: Device) -> None:
    device.write("bed", BED, now_ms=4_070_908_800_000, **A_BED)

    device.write("bed", BED, now_ms=0, name="Bed 2")

    assert device.rows(Bed)[0]["name"] == "Bed 2"


@pytest.mark.parametrize("now_ms", [0, 4_070_908_800_000, -(10**15), 10**30], ids=["1970", "2099", "negative", "huge"])
def test_an_entry_is_saved_with_any_clock(device: Device, memory: DeviceMaker, now_ms: int) -> None:
    device.write("bed", BED, now_ms=now_ms, **A_BED)

    assert memory(TABLET).take(device.run()).refused == []


def test_the_clock_goes_on_after_a_hostile_stamp(device: Device, memory: DeviceMaker) -> None:
    """Three devices that read each other's lines go on ordering their edits, and nobody's line is refused."""
    tablet, office = memory(TABLET), memory(OFFICE)
    device.take(run_of(an_id(66), line(stamp=LATEST, record=PLANTING)))
    for turn, who in enumerate([device, office, tablet, device, tablet, office]):
        for other in (device, tablet, office):
            who.meet(other)

        stamp = who.write("bed", BED, **A_BED | {"name": f"turn {turn}"}).stamp

        assert who.rows(Bed)[0]["name"] == f"turn {turn}"
        assert CEILING < stamp < LATEST


IMPOSSIBLE: dict[str, dict[str, Any]] = {
    "too little": {"name": "Bed 1"},
    "a wrong figure": A_BED | {"length_mm": -3},
    "a number that is none": A_BED | {"latitude": float("nan")},
    "an unknown field that cannot be written": A_BED | {"colour": object()},
    "an unknown field with no number": A_BED | {"colour": float("inf")},
    "an unknown field that is too long": A_BED | {"colour": "red" * MAX_LINE_BYTES},
}


@pytest.mark.parametrize("fields", IMPOSSIBLE.values(), ids=IMPOSSIBLE)
def test_an_entry_that_breaks_a_rule_is_not_written(device: Device, fields: dict[str, Any]) -> None:
    with pytest.raises(BadEntry):
        device.write("bed", BED, **fields)

    assert device.texts() == []
    assert device.rows(Bed) == device.rows(Flagged) == []


def test_a_note_of_a_million_letters_is_told_to_the_person_by_its_field(device: Device) -> None:
    with pytest.raises(BadEntry) as told:
        device.write("planting", PLANTING, bed=BED, sowing=SOWING, note="n" * 1_000_000)

    assert told.value.problems.keys() == {"note"}


@pytest.mark.parametrize(("kind", "record"), [("mulch", BED), ("bed", "Bed 1"), ("bed", BED.upper())])
def test_a_line_that_nobody_could_read_is_not_written(device: Device, kind: str, record: str) -> None:
    with pytest.raises(BadEntry):
        device.write(kind, record, **A_BED)

    assert device.texts() == []


def test_nothing_of_a_transaction_that_fails_is_kept(device: Device) -> None:
    key = RecordKey("bed", BED)

    with pytest.raises(BadEntry), writing(device.engine, FARM) as connection:  # noqa: PT012 - both are the transaction
        log.append(connection, FARM, PHONE, 1, key, A_BED, None)
        log.append(connection, FARM, PHONE, 2, key, {"rows": 0}, None)

    assert device.texts() == []
    assert device.rows(Bed) == device.rows(Log) == []


def test_text_is_kept_as_text_whatever_is_in_it(device: Device, memory: DeviceMaker) -> None:
    name = "<script>'; DROP TABLE bed; --\\ \u2028 🥬 {{7*7}} %s :name"

    device.write("bed", BED, **A_BED | {"name": name})

    other = memory(TABLET)
    other.meet(device)
    assert device.rows(Bed)[0]["name"] == other.rows(Bed)[0]["name"] == name


def test_a_phone_that_was_never_off_for_months_can_be_kept(device: Device) -> None:
    """Its boot clock counts more milliseconds than 32 bits hold after 25 days."""
    started = {"started_boot": "a", "started_boot_ms": 2**53 - 1}

    device.write("row_pass", ROW, **A_ROW | started)

    assert device.rows(RowPass)[0]["started_boot_ms"] == 2**53 - 1


# ---------------------------------------------------------------------- flagged


def bad_bed(*seqs: tuple[int, dict[str, Any]], device: str = TABLET) -> Run:
    return run_of(device, *(line(seq, stamp=seq, set=fields) for seq, fields in seqs))


def test_a_record_that_breaks_a_rule_is_kept_flagged_and_holds_up_nothing(device: Device) -> None:
    sound = line(2, record=an_id(9))

    outcome = device.take(run_of(TABLET, line(set=A_BED | {"length_mm": -3}), sound))

    (flagged,) = device.rows(Flagged)
    assert (outcome.stored, outcome.refused) == (2, [])
    assert (flagged["farm_id"], flagged["kind"], flagged["id"]) == (FARM, "bed", BED)
    assert json.loads(flagged["problems"]) == {"length_mm": "Input should be greater than 0"}
    assert json.loads(flagged["fields"]) == A_BED | {"length_mm": -3}
    assert [bed["id"] for bed in device.rows(Bed)] == [an_id(9)]
    assert device.complaints() == []


def test_a_flagged_record_is_corrected_by_a_further_line(device: Device) -> None:
    device.take(bad_bed((1, A_BED | {"length_mm": -3})))

    device.write("bed", BED, length_mm=3)

    assert device.rows(Flagged) == []
    assert device.rows(Bed)[0]["length_mm"] == 3


def test_a_sound_record_that_comes_to_break_a_rule_leaves_its_table(device: Device) -> None:
    device.write("bed", BED, **A_BED)

    device.take(bad_bed((1, {"rows": 0}), device=an_id(0xFFFF)))
    device.take(run_of(TABLET, line(stamp=LATEST, set={"rows": 0})))

    assert device.rows(Bed) == []
    assert len(device.rows(Flagged)) == 1
    assert device.complaints() == []


def test_a_flagged_record_can_be_corrected_one_field_at_a_time(device: Device) -> None:
    device.take(bad_bed((1, A_BED | {"length_mm": -3, "rows": 0})))

    device.write("bed", BED, rows=5)
    device.write("bed", BED, length_mm=3)

    assert device.rows(Flagged) == []


def test_a_correction_that_brings_another_problem_to_light_is_taken(device: Device) -> None:
    """Rules over several fields are looked at only once each field is sound, and only the first of them is told."""
    wrong = A_ROW | {"length_mm": -3, "ended_at": "2026-05-04T11:00:00+00:00", "filled": 2}
    device.take(run_of(TABLET, line(kind="row_pass", record=ROW, set=wrong)))

    device.write("row_pass", ROW, length_mm=30_480)
    device.write("row_pass", ROW, ended_at="2026-05-04T12:10:00+00:00")
    device.write("row_pass", ROW, filled=0)

    assert device.rows(Flagged) == []
    assert len(device.rows(RowPass)) == 1


def test_a_correction_with_a_new_mistake_is_not_taken(device: Device) -> None:
    device.take(bad_bed((1, A_BED | {"length_mm": -3})))

    with pytest.raises(BadEntry) as told:
        device.write("bed", BED, length_mm=3, rows=0)

    assert told.value.problems.keys() == {"rows"}


def test_a_flagged_record_can_be_taken_out(device: Device) -> None:
    device.take(bad_bed((1, A_BED | {"length_mm": -3})))

    device.write("bed", BED, voided=True)

    assert json.loads(device.rows(Flagged)[0]["fields"])["voided"] is True


def test_flagged_records_of_several_kinds_in_one_page_are_all_told(device: Device) -> None:
    """Also when they were flagged before, and when a page brings sound ones of other kinds."""
    row: dict[str, Any] = {"kind": "row_pass", "record": ROW, "set": {"row": 0}}
    texts = [line(1, set={"rows": 0}), line(2, **row), line(3, set={"rows": 1}), line(4, **row), line(5, kind="farm")]
    before = run_of(TABLET, *texts[:2])
    device.take(before)

    device.take(run_of(TABLET, *texts))

    assert {(flagged["kind"], flagged["id"]) for flagged in device.rows(Flagged)} == {("bed", BED), ("row_pass", ROW)}
    assert device.complaints() == []


def test_one_id_under_two_kinds_is_two_records(device: Device) -> None:
    device.take(
        run_of(TABLET, line(1, set={"rows": 0}), line(2, kind="planting", set={"bed": 7}), line(3, kind="farm"))
    )

    assert [flagged["kind"] for flagged in device.rows(Flagged)] == ["bed", "planting"]
    assert [farm["id"] for farm in device.rows(Farm)] == [BED]
    assert device.complaints() == []


# ---------------------------------------------------------------------- ingest


def test_two_devices_that_meet_hold_the_same(device: Device, memory: DeviceMaker) -> None:
    tablet = memory(TABLET)
    tablet.write("bed", BED, **A_BED)
    tablet.meet(device)

    device.write("bed", BED, rows=4)
    tablet.write("person", ANA, name="Ana")
    tablet.meet(device)

    assert device.holds() == tablet.holds()
    assert device.rows(Bed) == tablet.rows(Bed)
    assert device.rows(Person) == tablet.rows(Person)
    assert device.complaints() == tablet.complaints() == []


def test_what_is_taken_in_twice_is_stored_once(device: Device, memory: DeviceMaker) -> None:
    """A reply that was lost, and the whole page once more; also a page that begins before what is held."""
    tablet = memory(TABLET)
    tablet.write("bed", BED, **A_BED)
    device.take(tablet.run())
    tablet.write("bed", BED, rows=4)

    outcomes = [device.take(tablet.run()), device.take(tablet.run()), device.take(tablet.run(after=1))]

    assert [(outcome.stored, outcome.refused) for outcome in outcomes] == [(1, []), (0, []), (0, [])]
    assert len(device.texts()) == 2
    assert device.complaints() == []


def test_a_run_that_begins_beyond_what_is_held_waits_for_the_next_sync(device: Device, memory: DeviceMaker) -> None:
    tablet = memory(TABLET)
    tablet.write("bed", BED, **A_BED)
    tablet.write("bed", BED, rows=4)

    outcome = device.take(tablet.run(after=1))

    assert (outcome.stored, outcome.refused) == (0, [])
    assert device.holds() == {}
    tablet.meet(device)
    assert device.holds() == tablet.holds()


def test_a_small_page_is_a_valid_beginning(device: Device, memory: DeviceMaker) -> None:
    """Lines come in pages of any size, each at least one line; what was taken in of them is never asked for again."""
    tablet = memory(TABLET)
    for rows in range(1, 8):
        tablet.write("bed", BED, **A_BED | {"rows": rows})
    two_lines = 2 * len(tablet.texts()[0])
    pages = []

    while runs := tablet.lacking(device.holds(), two_lines):
        pages.append(device.take(*runs).stored)

    assert pages == [2, 2, 2, 1]
    assert device.holds() == tablet.holds()
    assert device.complaints() == []


def test_at_least_one_line_travels_however_small_the_page(device: Device) -> None:
    device.write("bed", BED, **A_BED)
    device.write("bed", BED, rows=4)

    assert [len(run.texts) for run in device.lacking({}, max_bytes=1)] == [1]


def test_a_page_holds_lines_of_several_logs_while_there_is_room(device: Device, memory: DeviceMaker) -> None:
    tablet = memory(TABLET)
    tablet.write("bed", BED, **A_BED)
    device.meet(tablet)
    device.write("bed", BED, rows=4)

    assert [run.device for run in device.lacking({}, PLENTY)] == [PHONE, TABLET]
    assert [run.device for run in device.lacking({}, 1)] == [PHONE]


def test_logs_of_others_are_handed_on(device: Device, memory: DeviceMaker) -> None:
    """So one phone can rebuild a lost service."""
    tablet, office = memory(TABLET), memory(OFFICE)
    tablet.write("bed", BED, **A_BED)
    device.meet(tablet)

    device.meet(office)

    assert office.holds() == tablet.holds()
    assert office.rows(Bed) == tablet.rows(Bed)


REFUSED: dict[str, Any] = {
    "no JSON": "{",
    "too long": line(2, set={"note": "n" * MAX_LINE_BYTES}),
    "another number": line(7),
    "no number": line(2).replace("30480", "NaN"),
    "a stamp above the last": line(2, stamp=LATEST + 1),
    "nested": line(2).replace("30480", "[" * 100 + "]" * 100),
}


@pytest.mark.parametrize("bad", REFUSED.values(), ids=REFUSED)
def test_a_line_that_cannot_be_kept_is_refused_by_number_and_all_before_it_is_kept(device: Device, bad: str) -> None:
    other = run_of(OFFICE, line(record=an_id(9)))

    outcome = device.take(run_of(TABLET, line(1), bad, line(3)), other)

    assert [(refusal.device, refusal.seq) for refusal in outcome.refused] == [(TABLET, 2)]
    assert outcome.stored == 2
    assert {held: seq for held, (seq, _) in device.holds().items()} == {TABLET: 1, OFFICE: 1}
    assert device.complaints() == []


@pytest.mark.parametrize("sound", [AT_ONCE - 1, AT_ONCE, AT_ONCE + 1])
def test_all_before_a_refused_line_is_kept_however_many_are_stored_at_once(device: Device, sound: int) -> None:
    texts = [line(seq, record=an_id(seq)) for seq in range(1, sound + 1)]

    outcome = device.take(run_of(TABLET, *texts, "{"))

    assert [refusal.seq for refusal in outcome.refused] == [sound + 1]
    assert outcome.stored == device.holds()[TABLET][0] == len(device.rows(Bed)) == sound
    assert device.complaints() == []


def test_what_a_refused_log_holds_before_the_refusal_can_be_gone_on_from(device: Device) -> None:
    device.take(run_of(TABLET, line(1), "{"))

    outcome = device.take(run_of(TABLET, line(1), line(2, set={"rows": 4})))

    assert (outcome.stored, outcome.refused) == (1, [])


def test_a_run_whose_digest_is_another_is_refused_whole(device: Device) -> None:
    sound = run_of(TABLET, line(1), line(2))

    outcome = device.take(Run(TABLET, 0, sound.texts, root(TABLET).hex()))

    assert [(refusal.seq, type(refusal) is Fork) for refusal in outcome.refused] == [(1, False)]
    assert device.texts() == []


def test_a_line_cannot_be_moved_into_the_log_of_another_device(device: Device) -> None:
    of_tablet = run_of(TABLET, line())

    outcome = device.take(Run(OFFICE, 0, of_tablet.texts, of_tablet.digest))

    assert [refusal.device for refusal in outcome.refused] == [OFFICE]
    assert device.texts() == []


def test_another_history_under_one_id_is_noticed_and_stores_nothing(device: Device) -> None:
    """The answer names the last line on which both agree; what was held stays."""
    ours = run_of(TABLET, line(1), line(2, set={"rows": 1}), line(3, set={"rows": 2}))
    theirs = run_of(TABLET, line(1), line(2, set={"rows": 3}))
    device.take(ours)

    outcome = device.take(theirs)

    (fork,) = outcome.refused
    assert isinstance(fork, Fork)
    assert (fork.device, fork.seq, fork.common) == (TABLET, 2, 1)
    assert device.texts() == list(ours.texts)
    assert device.rows(Bed)[0]["rows"] == 2


def test_a_log_that_parted_is_told_and_its_lines_are_not_mixed(device: Device, memory: DeviceMaker) -> None:
    tablet = memory(TABLET)
    tablet.take(run_of(TABLET, line(1), line(2, set={"rows": 1})))
    device.take(run_of(TABLET, line(1), line(2, set={"rows": 3}), line(3)))

    with reading(device.engine) as connection:
        parted = log.parted(connection, FARM, tablet.holds())

    assert [head.device for head in parted] == [TABLET]
    assert device.lacking(tablet.holds()) == []


def test_a_log_that_is_merely_behind_has_not_parted(device: Device) -> None:
    device.take(run_of(TABLET, line(1), line(2)))

    with reading(device.engine) as connection:
        behind = [{}, {TABLET: (1, run_of(TABLET, line(1)).digest)}, device.holds(), {TABLET: (9, "ahead")}]
        parted = [log.parted(connection, FARM, theirs) for theirs in behind]

    assert parted == [[], [], [], []]


def test_logs_grow_from_both_ends_of_a_long_history(device: Device) -> None:
    """More lines than are read from the store at a time, taken in at once and handed out again whole."""
    texts = [line(seq, set={"rows": seq % 7 + 1} | (A_BED if seq == 1 else {})) for seq in range(1, 2102)]
    run = run_of(TABLET, *texts)

    device.take(run)

    assert device.run(device=TABLET) == run
    assert device.run(after=1050, device=TABLET).texts == run.texts[1050:]


def test_more_records_than_fit_into_a_statement_are_folded(device: Device) -> None:
    texts = [line(seq, record=an_id(seq)) for seq in range(1, 604)]
    texts += [line(seq, record=an_id(seq - 603), set={"rows": 4}) for seq in range(604, 1207)]

    device.take(run_of(TABLET, *texts[:650]))
    device.take(run_of(TABLET, *texts))

    assert [bed["rows"] for bed in device.rows(Bed)] == [4] * 603
    assert device.complaints() == []


@pytest.mark.parametrize("count", [0, 1, 2, AT_ONCE, AT_ONCE + 1])
def test_any_number_of_records_is_looked_up(device: Device, count: int) -> None:
    device.take(run_of(TABLET, *(line(seq, record=an_id(seq)) for seq in range(1, AT_ONCE + 3))))
    wanted = {an_id(seq) for seq in range(2, 2 + count)}

    with reading(device.engine) as connection:
        found = histories(connection, FARM, wanted)

    assert {key.id: len(lines) for key, lines in found.items()} == dict.fromkeys(wanted, 1)


@pytest.mark.parametrize("count", [1, AT_ONCE])
def test_records_are_looked_up_without_reading_whole_logs(memory: DeviceMaker, count: int) -> None:
    """What a line costs to take in does not grow with the log: SQLite goes by the index of records alone."""
    device, asked = memory(), list[str]()
    device.take(run_of(TABLET, line(1)))

    with reading(device.engine) as connection:
        driver: Any = connection.connection.driver_connection
        driver.set_trace_callback(asked.append)
        histories(connection, FARM, [BED, *map(an_id, range(1, count))])
        driver.set_trace_callback(None)
        plans = [step for sql in asked for *_, step in driver.execute(f"EXPLAIN QUERY PLAN {sql}")]

    assert [plan for plan in plans if " line " in plan] == ["SEARCH line USING INDEX ix_line_record (record=?)"]


# ---------------------------------------------------------------------- private logs and other farms


def private_log(device: Device, private: str = OFFICE) -> None:
    with writing(device.engine, FARM) as connection:
        log.find_or_open(connection, FARM, private, private=True)
        log.append(connection, FARM, PHONE, 1, RecordKey("person", ANA), {"name": "Ana"}, None)
        log.append(connection, FARM, private, 2, RecordKey("person", ANA), {"wage_per_hour": 22.5}, None)


def test_a_private_log_is_never_handed_out(device: Device) -> None:
    private_log(device)

    with reading(device.engine) as connection:
        parted = log.parted(connection, FARM, {OFFICE: (1, "0" * 64)})

    assert parted == []
    assert device.holds().keys() == {PHONE}
    assert [run.device for run in device.lacking({})] == [PHONE]
    assert [run.device for run in device.lacking({OFFICE: (0, root(OFFICE).hex())})] == [PHONE]


def test_a_private_log_counts_at_home(device: Device) -> None:
    private_log(device)

    assert device.rows(Person)[0]["wage_per_hour"] == 22.5
    assert device.complaints() == []


def test_nobody_writes_into_a_private_log_from_elsewhere(device: Device) -> None:
    private_log(device)
    texts = [row["text"] for row in device.rows(Line)]

    outcome = device.take(run_of(OFFICE, line(1), line(2)))

    assert [refusal.reason for refusal in outcome.refused] == ["this log is kept in the office only"]
    assert [row["text"] for row in device.rows(Line)] == texts


def test_a_log_of_another_farm_is_refused_and_nothing_of_the_page_is_stored(device: Device) -> None:
    device.take(run_of(TABLET, line()))
    theirs = Device(device.engine, OFFICE, OTHER_FARM)

    with pytest.raises(OtherFarm):
        theirs.take(run_of(OFFICE, line()), run_of(TABLET, line(1), line(2)))

    assert theirs.holds() == {}
    assert len(device.texts()) == 1


def test_nobody_appends_to_a_log_of_another_farm(device: Device) -> None:
    device.write("bed", BED, **A_BED)

    with pytest.raises(OtherFarm):
        Device(device.engine, PHONE, OTHER_FARM).write("bed", BED, **A_BED)

    assert len(device.texts()) == 1


def test_farms_in_one_store_never_meet(device: Device) -> None:
    """Even with the same id of a record, which nobody would make by chance."""
    theirs = Device(device.engine, TABLET, OTHER_FARM)
    device.write("bed", BED, **A_BED)

    theirs.write("bed", BED, **A_BED | {"name": "Theirs"})
    theirs.take(run_of(OFFICE, line(record=an_id(9), set={"rows": 0})))

    assert [(bed["farm_id"], bed["name"]) for bed in device.rows(Bed)] == [(FARM, "Bed 1"), (OTHER_FARM, "Theirs")]
    assert device.holds().keys() == {PHONE}
    assert theirs.holds().keys() == {TABLET, OFFICE}
    assert device.complaints() == theirs.complaints() == []


def test_a_clock_of_one_farm_is_no_clock_of_another(device: Device) -> None:
    device.write("bed", BED, now_ms=4_070_908_800_000, **A_BED)

    stamp = Device(device.engine, TABLET, OTHER_FARM).write("bed", BED, now_ms=1, **A_BED).stamp

    assert stamp == 1 << 16


def test_what_a_phone_logged_before_it_was_paired_goes_with_it(device: Device) -> None:
    device.write("bed", BED, **A_BED)
    device.take(run_of(TABLET, line(record=an_id(9), set={"rows": 0}), "{"))
    with writing(device.engine, FARM) as connection:
        told = {"farm_id": FARM, "device": PHONE, "seq": 9, "text": "{", "reason": "it is not a log line"}
        connection.execute(table_of(SetAside).insert(), told)

    with writing(device.engine, FARM) as connection:
        log.change_farm(connection, FARM, OTHER_FARM)

    moved = Device(device.engine, PHONE, OTHER_FARM)
    assert device.holds() == {}
    assert device.complaints() == []
    assert moved.holds().keys() == {PHONE, TABLET}
    assert [bed["farm_id"] for bed in moved.rows(Bed)] == [OTHER_FARM]
    assert moved.complaints() == [f"line 9 of device {PHONE} was set aside: it is not a log line"]
    assert moved.write("bed", BED, rows=4).seq == 2


# ---------------------------------------------------------------------- lines damaged on the disk


def damage(device: Device, seq: int, **values: Any) -> None:
    table = table_of(Line)
    with writing(device.engine, FARM) as connection:
        connection.execute(update(table).where(table.c.seq == seq).values(**values))


def test_a_damaged_line_holds_up_no_further_entry_of_its_record(device: Device) -> None:
    """Its record was folded while it could be read; then come a line of one's own and one from elsewhere."""
    device.write("bed", BED, **A_BED)
    damage(device, 1, text="{")

    device.write("bed", BED, **A_BED | {"rows": 4})
    outcome = device.take(run_of(TABLET, line(stamp=LATEST, set={"rows": 3})))

    assert outcome.refused == []
    assert device.rows(Bed)[0]["rows"] == 3


def test_what_follows_a_line_that_is_lost_here_is_refused_and_says_why(device: Device) -> None:
    """Nothing can be checked against a chain with a hole in it; the lines stay with whoever wrote them."""
    sound = run_of(TABLET, line(1), line(2), line(3), line(4))
    device.take(Run(TABLET, 0, sound.texts[:3], run_of(TABLET, *sound.texts[:3]).digest))
    with writing(device.engine, FARM) as connection:
        connection.execute(delete(table_of(Line)).where(table_of(Line).c.seq == 2))

    outcome = device.take(Run(TABLET, 2, sound.texts[2:], sound.digest))

    assert [(refusal.seq, refusal.reason) for refusal in outcome.refused] == [(4, "its log is damaged here")]
    assert outcome.stored == 0


# ---------------------------------------------------------------------- programs of different age


def test_kinds_that_this_program_does_not_know_are_kept_and_passed_on(device: Device, memory: DeviceMaker) -> None:
    mulch = line(kind="mulch", set={"straw_kg": 40})

    device.take(run_of(TABLET, mulch))

    other = memory(OFFICE)
    other.meet(device)
    assert other.texts() == device.texts() == [mulch]
    assert device.complaints() == other.complaints() == []


def test_fields_and_keys_that_this_program_does_not_know_are_kept_and_passed_on(
    device: Device, memory: DeviceMaker
) -> None:
    newer = line(set=A_BED | {"colour": "red"}, signed={"by": "a key of next year"})

    device.take(run_of(TABLET, newer))
    device.write("bed", BED, rows=4)

    other = memory(OFFICE)
    other.meet(device)
    assert other.texts() == device.texts()
    assert newer in other.texts()
    assert other.rows(Bed)[0]["rows"] == 4


# ---------------------------------------------------------------------- anything at all

any_text = st.text(st.characters(exclude_categories=()), max_size=5)
any_float = st.floats(allow_nan=False, allow_infinity=False)
anything = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**40), 10**40) | any_float | any_text,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(any_text, inner, max_size=3),
    max_leaves=5,
)
NAMES = sorted({name for kind in KINDS.values() for name in kind.model_fields})
nearly_sound = st.fixed_dictionaries(
    {},
    optional={
        "name": any_text,
        "thresholds": st.dictionaries(any_text, any_float | st.integers(0, 10**30), max_size=2),
        "zone": st.sampled_from(["UTC", "America/New_York"]) | any_text,
        "note": any_text,
        "photo": any_text,
        "crew": st.just([ANA]),
        "planting": st.just(PLANTING),
        "bed": st.just(BED),
        "sowing": st.just(SOWING),
        "row": st.integers(0, 10**20),
        "rows": st.just(1),
        "length_mm": st.integers(0, 10**20),
        "cells_seen": st.just(3),
        "started_boot_ms": st.integers(-1, 2**60),
        "started_at": st.datetimes().map(lambda at: at.isoformat() + "Z") | st.integers(-(10**20), 10**20),
        "on": st.dates().map(str),
        "at": st.datetimes().map(lambda at: at.isoformat() + "+14:00"),
        "rain_mm": any_float,
        "voided": st.booleans(),
    },
)
any_lines = st.lists(
    st.tuples(
        st.sampled_from([*KINDS, "mulch"]), nearly_sound | st.dictionaries(st.sampled_from(NAMES), anything, max_size=4)
    ),
    min_size=1,
    max_size=8,
)


@given(lines=any_lines)
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_a_line_sets_it_is_kept_and_its_record_folded(
    device: Device, lines: list[tuple[str, dict[str, Any]]]
) -> None:
    """Nothing that is valid JSON stops an ingest: not in SQLite, nor in PostgreSQL, which takes less."""
    texts = [line(seq, kind=kind, record=an_id(seq % 3), set=changed) for seq, (kind, changed) in enumerate(lines, 1)]
    with device.engine.connect() as connection, connection.begin() as transaction:
        outcome = log.ingest(connection, FARM, [run_of(TABLET, *texts)])

        assert (outcome.stored, outcome.refused) == (len(texts), [])
        assert list(verify(connection, FARM)) == []
        transaction.rollback()
