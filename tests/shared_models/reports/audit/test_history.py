"""What became of a record, line by line: filled in, corrected, deleted; by when, whatever the stamps say."""

from datetime import UTC, datetime, timedelta

import pytest

from shared_models.core.clock import COUNTER_BITS, tick
from shared_models.core.revision import Revision
from shared_models.log.projection import RecordKey
from shared_models.reports.audit.history import corrections, history_of, in_order

BED = RecordKey("bed", "a bed")
ROW = RecordKey("row_pass", "a row")
NOON = datetime(2026, 5, 14, 12, tzinfo=UTC)
NOON_MS = round(NOON.timestamp() * 1000)


def line(seq: int, **changed: object) -> Revision:
    return Revision("a phone", seq, (1_000 + seq) << COUNTER_BITS, "kind", "record", changed)


def corrected(key: RecordKey, *lines: Revision) -> list[tuple[str, object, object]]:
    """Each correction: field, before, after."""
    return [change[:3] for line in corrections(history_of(key, lines)) for change in line.changes]


def test_filling_in_is_no_correction_and_changing_is() -> None:
    lines = [line(1, name="Bed 1", rows=3), line(2, block="North"), line(3, rows=4), line(4, rows=4)]

    assert corrected(BED, *lines) == [("rows", 3, 4)]


def test_a_field_that_was_emptied_is_a_correction() -> None:
    assert corrected(BED, line(1, block="North"), line(2, block=None)) == [("block", "North", None)]


def test_what_is_tapped_while_a_row_is_planted_is_no_correction() -> None:
    lines = [line(1, started_at="8:00", misses=1), line(2, misses=2), line(3, ended_at="8:10"), line(4, misses=1)]

    assert corrected(ROW, *lines) == [("misses", 2, 1)]


def test_deleting_and_bringing_back_are_corrections() -> None:
    lines = [line(1, started_at="8:00"), line(2, voided=True), line(3, voided=False)]

    assert corrected(ROW, *lines) == [("voided", False, True), ("voided", True, False)]


def test_the_history_tells_every_line_and_which_one_made_the_record() -> None:
    lines = [line(2, rows=4), line(1, name="Bed 1", rows=3), line(3, rows=4)]

    result = history_of(BED, lines)

    assert [(each.seq, each.first, [change[:3] for change in each.changes]) for each in result] == [
        (1, True, [("name", None, "Bed 1"), ("rows", None, 3)]),
        (2, False, [("rows", 3, 4)]),
        (3, False, []),
    ]


def test_a_unit_is_reported_whole_and_the_boot_clock_not_at_all() -> None:
    """One field of a unit empties the others, as the fold has it."""
    boots = {"started_boot": "b", "started_boot_ms": 9}
    counted = RecordKey("stand_count", "a count")
    (started,) = history_of(ROW, [line(1, started_at="8:00", **boots)])
    _, recounted = history_of(counted, [line(1, plants=9, sample_length_mm=3048), line(2, plants=8)])

    assert [change.field for change in started.changes] == ["started_at"]
    assert [change[:3] for change in recounted.changes] == [("sample_length_mm", 3048, None), ("plants", 9, 8)]


def test_lines_of_several_records_come_in_the_order_in_which_they_hold() -> None:
    result = in_order({BED: [line(1, rows=3), line(4, rows=4)], ROW: [line(2, row=1), line(3, row=2)]})

    assert [(each.seq, each.key) for each in result] == [(1, BED), (2, ROW), (3, ROW), (4, BED)]


@pytest.mark.parametrize(
    ("seen", "exact", "at"),
    [
        (0, True, NOON),
        (NOON_MS - 60_000 << COUNTER_BITS, True, NOON),
        (NOON_MS << COUNTER_BITS, False, NOON),
        (NOON_MS + 3_600_000 << COUNTER_BITS, False, NOON + timedelta(hours=1)),
    ],
)
def test_a_stamp_tells_the_time_only_where_the_wall_clock_was_ahead(seen: int, exact: bool, at: datetime) -> None:
    """Written at noon, after a line stamped `seen`: a phone an hour ahead makes it one o'clock or before."""
    (result,) = history_of(BED, [Revision("a phone", 1, tick(seen, NOON_MS), "bed", "a bed", {"rows": 3})])

    assert (result.exact, result.at) == (exact, at)


def test_one_entry_in_two_logs_is_one_line_of_the_history_and_true_is_not_1() -> None:
    lines = [line(1, rows=4), line(2, voided=True)]
    again = [each._replace(device="another phone", seq=each.seq + 5) for each in lines]
    not_the_same = line(2, voided=1)._replace(device="a third phone")

    written = history_of(BED, [*lines, *again, not_the_same])

    shown = [(each.device, each.seq, each.first) for each in written]
    assert shown == [("a phone", 1, True), ("a phone", 2, False), ("a third phone", 2, False)]
