"""What would be written for a row that was tapped too late: times in both clocks, stops where they belong."""

from datetime import UTC, datetime
from typing import Any

import pytest

from mobile.log.late_end import LateEnd
from shared_models.core.moments import Moment, elapsed_s
from shared_models.records.models import StopEntry, moment_json
from shared_models.records.tables import RowPass

START = Moment(datetime(2026, 5, 14, 11, 0, tzinfo=UTC), "a", 5_000_000)
USUAL = 480.0


def row(took_s: float, *stops: tuple[str, float, float], **fields: Any) -> RowPass:
    """Row 3 of a planting, from 11:00 on; stops are (reason, began, ended) in seconds after that."""
    end = START.later(took_s)
    noted = [
        {"reason": reason, "began": moment_json(START.later(began)), "ended": moment_json(START.later(ended))}
        for reason, began, ended in stops
    ]
    began: dict[str, Any] = {"started_at": START.at, "started_boot": START.boot, "started_boot_ms": START.boot_ms}
    ended: dict[str, Any] = {"ended_at": end.at, "ended_boot": end.boot, "ended_boot_ms": end.boot_ms}
    stored: dict[str, Any] = {
        "id": "row-3",
        "planting": "p",
        "row": 3,
        "length_mm": 30_480,
        "crew": ["ines"],
        "stops": noted,
    }
    return RowPass(farm_id="f", **stored, **began, **ended, **fields)


def late(late_row: RowPass) -> LateEnd:
    assert late_row.ended is not None
    return LateEnd(late_row, late_row.ended, USUAL, note="times estimated")


def spans(stops: list[Any]) -> list[tuple[str, float, float]]:
    entries = [StopEntry.model_validate(stop) for stop in stops]
    return [(each.reason, elapsed_s(START, each.began), elapsed_s(START, each.ended or START)) for each in entries]


def test_trimmed_it_ends_as_usual_in_both_clocks_and_says_so() -> None:
    mending = late(row(4360, ("tray_change", 100, 120), ("rest", 3000, 3600), note="wet")).trim()

    ((kind, record, fields),) = mending.changes
    assert (kind, record) == ("row_pass", "row-3")
    assert (fields["ended_at"], fields["ended_boot_ms"]) == ("2026-05-14T11:08:20+00:00", 5_500_000)
    assert spans(fields["stops"]) == [("tray_change", 100, 120)]
    assert fields["note"] == "wet · times estimated"
    assert mending.ended == START.later(500)


def test_with_a_rest_the_row_ends_when_it_was_tapped() -> None:
    mending = late(row(4360, ("tray_change", 100, 120))).rest()

    (change,) = mending.changes
    assert list(change.fields) == ["stops"]
    assert spans(change.fields["stops"]) == [("tray_change", 100, 120), ("rest", 500, 4360)]
    assert (mending.rest_s, mending.ended) == (3860, START.later(4360))


def test_split_the_second_row_ends_when_it_was_tapped() -> None:
    stops = (("tray_change", 100, 120), ("rest", 1000, 1200), ("clogged_with_residue", 4300, 4330))

    mending = late(row(4360, *stops, misses=2, depth_notch=4)).split("row-4", 4)

    first, second = mending.changes
    assert first.fields["ended_boot_ms"] == 5_500_000
    assert spans(first.fields["stops"]) == [("tray_change", 100, 120)]
    assert (second.record, second.fields["row"], second.fields["planting"]) == ("row-4", 4, "p")
    assert second.fields["started_boot_ms"] == 5_000_000 + (4360 - 480 - 30) * 1000
    assert second.fields["ended_boot_ms"] == 9_360_000
    assert spans(second.fields["stops"]) == [("clogged_with_residue", 4300, 4330)]
    assert (second.fields["crew"], second.fields["depth_notch"]) == (["ines"], 4)
    assert {first.fields["note"], second.fields["note"]} == {"times estimated"}
    assert (mending.ended, mending.second_began) == (START.later(500), START.later(3850))


def test_the_misses_stay_with_the_first_of_two_rows() -> None:
    first, second = late(row(4360, misses=2)).split("row-4", 4).changes

    assert "misses" not in first.fields
    assert "misses" not in second.fields


def test_where_the_phone_was_at_the_tap_is_where_the_second_row_ended() -> None:
    fixed = {"end_latitude": 42.1, "end_longitude": -72.5, "end_accuracy_m": 4.0}

    first, second = late(row(4360, **fixed)).split("row-4", 4).changes

    assert {name: first.fields[name] for name in fixed} == dict.fromkeys(fixed)
    assert {name: second.fields[name] for name in fixed} == fixed


def test_a_stop_across_the_cut_is_cut() -> None:
    first, second = late(row(800, ("rest", 300, 500))).split("row-4", 4).changes

    assert spans(first.fields["stops"]) == [("rest", 300, 400)]
    assert spans(second.fields["stops"]) == [("rest", 400, 500)]


def test_a_row_in_another_boot_is_timed_by_the_wall_clock() -> None:
    """Switched off and on in the middle: the estimate stays in the boot in which the row began."""
    rebooted = row(4360)
    rebooted.ended_boot, rebooted.ended_boot_ms = "b", 1000

    mending = late(rebooted).trim()

    assert late(rebooted).took_s == 4360
    assert mending.ended == START.later(480)


@pytest.mark.parametrize("way", ["trim", "rest"])
def test_one_line_is_one_record(way: str) -> None:
    assert len(getattr(late(row(4360)), way)().changes) == 1
