"""Two histories under one device id: the later lines of one move to a log of their own, and nothing is lost."""

import json

import pytest

from shared_models.errors import Fork
from shared_models.log import log
from shared_models.log.append import append
from shared_models.log.fork import evidence
from shared_models.log.projection import RecordKey
from shared_models.log.store import reading, writing
from shared_models.records.tables import Bed, Person
from tests.shared_models.log.device import (
    ANA,
    COMMON,
    FARM,
    OFFICE,
    OURS,
    PHONE,
    PLENTY,
    TABLET,
    THEIRS,
    Device,
    DeviceMaker,
    line,
    run_of,
)


def test_a_clone_loses_nothing_and_both_sides_come_to_hold_the_same(device: Device, memory: DeviceMaker) -> None:
    """The whole way: refused at the service, moved on the phone, and taken in under the new id."""
    service, phone = device, memory(PHONE)
    service.take(run_of(PHONE, *COMMON, *THEIRS))
    phone.take(run_of(PHONE, *COMMON, *OURS))
    (fork,) = service.take(phone.run()).refused
    assert isinstance(fork, Fork)

    new = phone.branch_off(fork.common)
    phone.meet(service)

    assert new is not None
    assert service.holds() == phone.holds()
    assert {held: seq for held, (seq, _) in service.holds().items()} == {PHONE: 3, new: 4}
    assert service.rows(Bed) == phone.rows(Bed)
    assert phone.rows(Bed)[0]["name"] == "Ours"
    assert service.complaints() == phone.complaints() == []


def test_what_moves_says_the_same_and_its_record_stays_as_it_is(device: Device) -> None:
    device.take(run_of(PHONE, *COMMON, *OURS))
    before, records = device.contents(PHONE), device.rows(Bed)

    new = device.branch_off(2)

    assert new is not None
    assert device.contents(PHONE) == before[:2]
    assert device.contents(new) == before[2:]
    assert device.rows(Bed) == records
    assert device.complaints() == []


def test_what_a_newer_program_wrote_beside_the_fields_moves_too(device: Device) -> None:
    device.take(run_of(PHONE, line(1, signed={"by": "a key of next year"}, set={"colour": "red"}, by=ANA)))

    new = device.branch_off(0)

    moved = json.loads(device.run(device=new).texts[0])
    assert moved == json.loads(line(1, signed={"by": "a key of next year"}, set={"colour": "red"}, by=ANA))


def test_a_log_that_moved_whole_is_empty_and_told_to_nobody(device: Device) -> None:
    device.take(run_of(PHONE, *COMMON))

    new = device.branch_off(0)

    assert device.holds().keys() == {new}
    assert device.complaints() == []


def test_the_old_log_goes_on_with_what_the_other_side_holds(device: Device) -> None:
    device.take(run_of(PHONE, *COMMON, *OURS))
    device.branch_off(2)

    outcome = device.take(run_of(PHONE, *COMMON, *THEIRS))

    assert (outcome.stored, outcome.refused) == (1, [])


@pytest.mark.parametrize("common", [4, 9])
def test_where_nothing_lies_after_the_common_line_nothing_moves(device: Device, common: int) -> None:
    device.take(run_of(PHONE, *COMMON, *OURS))
    before = device.holds()

    assert device.branch_off(common) is None
    assert device.holds() == before


def test_of_a_log_that_is_not_held_nothing_moves(device: Device) -> None:
    assert device.branch_off(0, TABLET) is None
    assert device.holds() == {}


def test_whoever_moves_the_same_lines_makes_the_same_log(device: Device, memory: DeviceMaker) -> None:
    tablet = memory(TABLET)
    for each in (device, tablet):
        each.take(run_of(PHONE, *COMMON, *OURS))

    names = {each.branch_off(2, PHONE) for each in (device, tablet)}

    assert len(names) == 1
    assert device.holds() == tablet.holds()
    device.meet(tablet)
    assert len(device.texts()) == 4


@pytest.mark.parametrize("count", [1, 2])
def test_lines_that_somebody_moved_before_are_not_written_twice(
    device: Device, memory: DeviceMaker, count: int
) -> None:
    """Another clone moved all of them, or the first of them, and its new log is held here already."""
    clone = memory(TABLET)
    clone.take(run_of(PHONE, *COMMON, *OURS[:count]))
    theirs = clone.branch_off(2, PHONE)
    device.take(run_of(PHONE, *COMMON, *OURS), clone.run(device=theirs))

    ours = device.branch_off(2)

    assert ours == theirs
    assert {held: seq for held, (seq, _) in device.holds().items()} == {PHONE: 2, ours: 4}
    assert device.complaints() == []
    clone.meet(device)
    assert clone.holds() == device.holds()


def test_a_third_history_loses_nothing(device: Device, memory: DeviceMaker) -> None:
    """Another clone moved lines that begin as ours do and go on otherwise; its new log is held here already."""
    other = line(4, stamp=3, set={"name": "Third"})
    clone = memory(TABLET)
    clone.take(run_of(PHONE, *COMMON, OURS[0], other))
    first = clone.branch_off(2, PHONE)
    assert first is not None
    device.take(run_of(PHONE, *COMMON, *OURS), clone.run(device=first))

    second = device.branch_off(2)

    assert second not in {None, first}
    assert second is not None
    assert device.contents(first)[1][3] == {"name": "Third"}
    assert device.contents(second)[0][3] == {"name": "Ours"}
    assert device.complaints() == []


def test_a_third_history_makes_the_same_logs_in_either_order(device: Device, memory: DeviceMaker) -> None:
    """Whether the other clone's log was held before ours moved, or came afterwards and parted from ours."""
    other = line(4, stamp=3, set={"name": "Third"})
    clone, late = memory(TABLET), memory(OFFICE)
    clone.take(run_of(PHONE, *COMMON, OURS[0], other))
    first = clone.branch_off(2, PHONE)
    device.take(run_of(PHONE, *COMMON, *OURS), clone.run(device=first))
    late.take(run_of(PHONE, *COMMON, *OURS))

    device.branch_off(2)
    new = late.branch_off(2, PHONE)
    (fork,) = late.take(clone.run(device=first)).refused
    assert isinstance(fork, Fork)
    late.branch_off(fork.common, new)
    late.take(clone.run(device=first))

    assert late.holds() == device.holds()


def test_a_private_log_stays_private(device: Device) -> None:
    with writing(device.engine, FARM) as connection:
        log.get_or_create(connection, FARM, OFFICE, private=True)
        for wage in (21.0, 22.5):
            fields = {"name": "Ana", "wage_per_hour": wage}
            append(connection, FARM, OFFICE, 1, RecordKey("person", ANA), fields, None)

    device.branch_off(1, OFFICE)

    assert device.holds() == {}
    assert device.rows(Person)[0]["wage_per_hour"] == 22.5
    assert device.complaints() == []


# ---------------------------------------------------------------------- how the other side comes to see it


def test_a_few_lines_show_a_fork_to_whoever_holds_the_longer_history(device: Device, memory: DeviceMaker) -> None:
    """The service cannot be asked for what it lacks, for it lacks nothing: it is shown the line where they meet."""
    phone = memory(PHONE)
    phone.take(run_of(PHONE, *COMMON, *THEIRS))
    device.take(run_of(PHONE, *COMMON, *OURS))

    with reading(device.engine) as connection:
        runs = evidence(connection, FARM, phone.holds(), PLENTY)

    assert [(run.after, len(run.texts)) for run in runs] == [(2, 2)]
    assert [refusal.seq for refusal in phone.take(*runs).refused] == [3]
    assert len(phone.texts()) == 3


def test_whoever_claims_many_forks_is_shown_only_some_at_a_time(device: Device) -> None:
    """Else a few bytes about each log would be answered with all of them."""
    device.take(run_of(PHONE, *COMMON, *OURS), run_of(TABLET, *COMMON, *OURS))
    claimed = {PHONE: (3, "0" * 64), TABLET: (3, "0" * 64)}

    with reading(device.engine) as connection:
        few, all_of_them = (evidence(connection, FARM, claimed, most) for most in (1, PLENTY))

    assert ([run.device for run in few], [run.device for run in all_of_them]) == ([PHONE], [PHONE, TABLET])


def test_a_side_that_is_behind_or_equal_is_shown_no_fork(device: Device) -> None:
    device.take(run_of(PHONE, *COMMON, *OURS))

    with reading(device.engine) as connection:
        for theirs in ({}, {PHONE: (2, run_of(PHONE, *COMMON).digest)}, device.holds(), {PHONE: (9, "0" * 64)}):
            assert evidence(connection, FARM, theirs, PLENTY) == []
