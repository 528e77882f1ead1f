"""A row's times put right later: both clocks agree with what was said, whatever the phone's clock did."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from shared_models.core.moments import Moment, Timeline, elapsed_s
from shared_models.log.projection import RecordKey, validate
from shared_models.records.models import moment_fields, moment_json
from shared_models.reports.audit.entries import Entry
from shared_models.reports.audit.retiming import moved_by, set_to

EIGHT = datetime(2026, 5, 14, 12, 0, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
TEN = timedelta(minutes=10)


def moment(minutes: float, wrong_by: timedelta = timedelta()) -> Moment:
    """So many minutes after eight; the phone was switched on an hour before."""
    after = timedelta(minutes=minutes)
    return Moment(EIGHT + after + wrong_by, "boot", round((after + timedelta(hours=1)) / timedelta(milliseconds=1)))


def row(started: Moment, ended: Moment | None, *others: Moment, **fields: Any) -> Entry:
    result = moment_fields("started", started) | (moment_fields("ended", ended) if ended else {})
    clock = Timeline([started, *([ended] if ended else []), *others])
    return Entry(RecordKey("row_pass", "a row"), {**result, **fields}, {}, clock)


def after(entry: Entry, changed: dict[str, Any]) -> Entry:
    return Entry(entry.key, {**entry.fields, **changed}, {}, entry.timeline)


def lasts_s(entry: Entry) -> float:
    start, end = entry.moment("started"), entry.moment("ended")
    assert start is not None
    assert end is not None
    return elapsed_s(start, end)


def test_a_start_is_set_whole_and_the_row_is_as_long_as_it_says() -> None:
    entry = row(moment(0), moment(8))

    changed = set_to(entry, {"started": EIGHT + 2 * MINUTE})

    assert set(changed) == {"started_at", "started_boot", "started_boot_ms"}
    now = after(entry, changed)
    assert now.corrected("started") == EIGHT + 2 * MINUTE
    assert lasts_s(now) == 360


def test_it_means_the_clock_that_people_see_though_the_phones_was_wrong() -> None:
    """Nine hours back at the row's start, right before and after: seven minutes to eight is said, and is what holds."""
    right = [moment(minutes) for minutes in (-30, -20, 20)]
    entry = row(moment(0, timedelta(hours=-9)), moment(8), *right)

    now = after(entry, set_to(entry, {"started": EIGHT - 7 * MINUTE}))

    assert entry.corrected("started") == EIGHT
    assert now.corrected("started") == EIGHT - 7 * MINUTE
    assert lasts_s(now) == 15 * 60


def test_a_start_before_the_phone_was_switched_on_goes_by_the_wall_clock() -> None:
    """Then the end does too, put right: the phone's clock was wrong when the row ended."""
    right = [moment(minutes) for minutes in (-30, -20, 20)]
    entry = row(moment(-59), moment(8, timedelta(hours=-9)), *right)

    now = after(entry, set_to(entry, {"started": EIGHT - 90 * MINUTE}))

    assert (now.fields["started_boot"], now.fields["ended_boot"]) == ("", "")
    assert (now.corrected("started"), now.corrected("ended")) == (EIGHT - 90 * MINUTE, EIGHT + 8 * MINUTE)
    assert lasts_s(now) == 98 * 60


def test_an_end_that_was_never_tapped_stands_on_the_clock_of_the_start() -> None:
    entry = row(moment(0), None)

    now = after(entry, set_to(entry, {"ended": EIGHT + TEN}))

    assert now.fields["ended_boot"] == "boot"
    assert lasts_s(now) == 600


@pytest.mark.parametrize("fields", [{}, {"started_at": "noon"}])
def test_a_start_that_cannot_be_read_is_set_anew(fields: dict[str, str]) -> None:
    entry = Entry(RecordKey("row_pass", "a row"), fields)

    assert after(entry, set_to(entry, {"started": EIGHT})).corrected("started") == EIGHT


def test_a_row_moves_to_another_day_with_its_stops() -> None:
    stops = [
        {"reason": "rest", "began": moment_json(moment(2)), "ended": moment_json(moment(3))},
        {"reason": "other", "began": moment_json(moment(5)), "ended": None},
    ]
    entry = row(moment(0), moment(8), stops=stops)

    now = after(entry, moved_by(entry, timedelta(days=40)))

    assert now.corrected("started") == EIGHT + timedelta(days=40)
    assert lasts_s(now) == 480
    began = [datetime.fromisoformat(stop["began"]["at"]) for stop in now.fields["stops"]]
    assert began == [EIGHT + timedelta(days=40, minutes=2), EIGHT + timedelta(days=40, minutes=5)]
    assert "ended" not in now.fields["stops"][1]
    assert validate(
        "row_pass", {**now.fields, "planting": "0" * 8 + "-0000-0000-0000-" + "0" * 12, "row": 1, "length_mm": 1}
    ).row


def test_a_row_of_1970_comes_to_this_year_at_its_length() -> None:
    """The clock of a phone whose battery was out; no boot lasts for half a century."""
    wrong = timedelta(days=-20_000)
    entry = row(moment(0, wrong), moment(8, wrong))

    now = after(entry, moved_by(entry, timedelta(days=20_000)))

    assert (now.corrected("started"), now.fields["started_boot"]) == (EIGHT, "")
    assert lasts_s(now) == 480


def test_what_is_as_it_was_is_not_written() -> None:
    entry = row(moment(0), moment(8))

    assert set_to(entry, {"started": EIGHT}) == {}
    assert moved_by(entry, timedelta()) == {}
