"""What a log takes in from others, whatever database it is kept in: `device` is each kind, the others are phones."""

from dataclasses import replace
from typing import Any

import pytest
from sqlalchemy import delete, update

from shared_models.core.clock import LATEST
from shared_models.core.revision import MAX_LINE_BYTES, root
from shared_models.errors import Fork
from shared_models.log import log
from shared_models.log.log import Run
from shared_models.log.prepared_statements import AT_ONCE
from shared_models.log.projection import histories
from shared_models.log.store import reading, writing
from shared_models.records.tables import Bed, Line, Person, table_of
from tests.shared_models.log.device import (
    A_BED,
    ANA,
    BED,
    FARM,
    OFFICE,
    PHONE,
    PLENTY,
    TABLET,
    Device,
    DeviceMaker,
    an_id,
    line,
    run_of,
)


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

    outcome = device.take(run_of(TABLET, line(1), bad, line(3), at_each=True), other)

    assert [(refusal.device, refusal.seq) for refusal in outcome.refused] == [(TABLET, 2)]
    assert outcome.stored == 2
    assert {held: seq for held, (seq, _) in device.holds().items()} == {TABLET: 1, OFFICE: 1}
    assert device.complaints() == []


@pytest.mark.parametrize("sound", [AT_ONCE - 1, AT_ONCE, AT_ONCE + 1])
def test_all_before_a_refused_line_is_kept_however_many_are_stored_at_once(device: Device, sound: int) -> None:
    texts = [line(seq, record=an_id(seq)) for seq in range(1, sound + 1)]

    outcome = device.take(run_of(TABLET, *texts, "{", at_each=True))

    assert [refusal.seq for refusal in outcome.refused] == [sound + 1]
    assert outcome.stored == device.holds()[TABLET][0] == len(device.rows(Bed)) == sound
    assert device.complaints() == []


def test_what_a_refused_log_holds_before_the_refusal_can_be_gone_on_from(device: Device) -> None:
    device.take(run_of(TABLET, line(1), "{", at_each=True))

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


def test_a_log_that_parted_is_reported_and_its_lines_are_not_mixed(device: Device, memory: DeviceMaker) -> None:
    tablet = memory(TABLET)
    tablet.take(run_of(TABLET, line(1), line(2, set={"rows": 1})))
    device.take(run_of(TABLET, line(1), line(2, set={"rows": 3}), line(3)))

    with reading(device.engine) as connection:
        parted = log.diverged(connection, FARM, tablet.holds())

    assert [head.device for head in parted] == [TABLET]
    assert device.lacking(tablet.holds()) == []


def test_a_log_that_is_merely_behind_has_not_parted(device: Device) -> None:
    device.take(run_of(TABLET, line(1), line(2)))

    with reading(device.engine) as connection:
        behind = [{}, {TABLET: (1, run_of(TABLET, line(1)).digest)}, device.holds(), {TABLET: (9, "ahead")}]
        parted = [log.diverged(connection, FARM, theirs) for theirs in behind]

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
    device, query = memory(), list[str]()
    device.take(run_of(TABLET, line(1)))

    with reading(device.engine) as connection:
        driver: Any = connection.connection.driver_connection
        driver.set_trace_callback(query.append)
        histories(connection, FARM, [BED, *map(an_id, range(1, count))])
        driver.set_trace_callback(None)
        plans = [step for sql in query for *_, step in driver.execute(f"EXPLAIN QUERY PLAN {sql}")]

    assert [plan for plan in plans if " line " in plan] == ["SEARCH line USING INDEX ix_line_record (record=?)"]


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
    device.take(run_of(TABLET, *sound.texts[:3]))
    with writing(device.engine, FARM) as connection:
        connection.execute(delete(table_of(Line)).where(table_of(Line).c.seq == 2))

    outcome = device.take(replace(sound, after=2, texts=sound.texts[2:]))

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


def test_before_a_refused_line_nothing_is_kept_that_its_device_did_not_sign_by_itself(device: Device) -> None:
    """Nobody would take it from here: what is kept can be handed on, and the rest is asked for again."""
    device.take(run_of(TABLET, line(1), line(2), "{"))
    kept = device.holds()

    device.take(run_of(TABLET, line(1), line(2)))

    assert kept == {}
    assert [run.end for run in device.lacking({})] == [2]
