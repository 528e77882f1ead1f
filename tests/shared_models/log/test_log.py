"""What is written into a log, whatever database it is kept in; what breaks a rule is flagged."""

import json
from typing import Any

import pytest

from shared_models.core.clock import CEILING, LATEST
from shared_models.core.revision import MAX_LINE_BYTES
from shared_models.errors import BadEntry
from shared_models.log.append import append
from shared_models.log.log import Run
from shared_models.log.projection import RecordKey
from shared_models.log.store import writing
from shared_models.records.tables import Bed, Farm, Flagged, Log, RowPass
from shared_models.reports.audit.entries import problems_in
from tests.shared_models.log.device import (
    A_BED,
    A_ROW,
    ANA,
    BED,
    FARM,
    OFFICE,
    PHONE,
    PLANTING,
    ROW,
    SOWING,
    TABLET,
    Device,
    DeviceMaker,
    an_id,
    line,
    new_device,
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
    device.take(run_of(new_device(66), line(stamp=LATEST, record=PLANTING)))
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


def test_a_note_of_a_million_letters_is_reported_to_the_person_by_its_field(device: Device) -> None:
    with pytest.raises(BadEntry) as result:
        device.write("planting", PLANTING, bed=BED, sowing=SOWING, note="n" * 1_000_000)

    assert result.value.problems.keys() == {"note"}


@pytest.mark.parametrize(("kind", "record"), [("mulch", BED), ("bed", "Bed 1"), ("bed", BED.upper())])
def test_a_line_that_nobody_could_read_is_not_written(device: Device, kind: str, record: str) -> None:
    with pytest.raises(BadEntry):
        device.write(kind, record, **A_BED)

    assert device.texts() == []


def test_nothing_of_a_transaction_that_fails_is_kept(device: Device) -> None:
    key = RecordKey("bed", BED)

    with pytest.raises(BadEntry), writing(device.engine, FARM) as connection:  # noqa: PT012 - both are the transaction
        append(connection, FARM, PHONE, 1, key, A_BED, None)
        append(connection, FARM, PHONE, 2, key, {"rows": 0}, None)

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
    assert problems_in(flagged["problems"]) == {"length_mm": "must be more than 0"}
    assert json.loads(flagged["fields"]) == A_BED | {"length_mm": -3}
    assert [bed["id"] for bed in device.rows(Bed)] == [an_id(9)]
    assert device.complaints() == []


def test_a_flagged_record_is_corrected_by_a_further_line(device: Device) -> None:
    device.take(bad_bed((1, A_BED | {"length_mm": -3})))

    device.write("bed", BED, length_mm=3)

    assert device.rows(Flagged) == []
    assert device.rows(Bed)[0]["length_mm"] == 3


def test_a_sound_record_that_comes_to_break_a_rule_is_flagged_and_keeps_its_last_good_form(device: Device) -> None:
    device.write("bed", BED, **A_BED)

    device.take(bad_bed((1, {"rows": 0}), device=new_device(0xFFFF)))
    device.take(run_of(TABLET, line(stamp=LATEST, set={"rows": 0})))
    device.write("bed", BED, name="North 1")

    (bed,), (flagged,) = device.rows(Bed), device.rows(Flagged)
    assert (bed["name"], bed["rows"]) == ("North 1", A_BED["rows"])
    assert (json.loads(flagged["fields"])["rows"], flagged["kept"]) == (0, True)
    assert device.complaints() == []


def test_a_record_that_was_mended_is_flagged_no_longer(device: Device) -> None:
    device.write("bed", BED, **A_BED)
    device.take(run_of(TABLET, line(stamp=LATEST - 1, set={"rows": 0})))
    device.take(run_of(new_device(0xFFFF), line(stamp=LATEST, set={"rows": 4})))

    assert device.rows(Flagged) == []
    assert [bed["rows"] for bed in device.rows(Bed)] == [4]
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


def test_a_correction_that_breaks_the_rule_just_as_before_is_taken(device: Device) -> None:
    device.take(bad_bed((1, A_BED | {"length_mm": -3})))

    device.write("bed", BED, length_mm=-4)

    (flagged,) = device.rows(Flagged)
    assert json.loads(flagged["fields"])["length_mm"] == -4


def test_a_correction_with_a_new_mistake_is_not_taken(device: Device) -> None:
    device.take(bad_bed((1, A_BED | {"length_mm": -3})))

    with pytest.raises(BadEntry) as result:
        device.write("bed", BED, length_mm=3, rows=0)

    assert result.value.problems.keys() == {"rows"}


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
