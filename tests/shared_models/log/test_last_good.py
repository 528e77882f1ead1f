"""The last good form of a record that broke a rule when its lines came together."""

from datetime import UTC, datetime
from typing import Any

import pytest

from shared_models.core.revision import Revision
from shared_models.log.last_good import MOST_TRIES, last_good
from shared_models.log.projection import last_good_row, validate
from shared_models.records.models import UNITS
from shared_models.records.problems import RULES
from tests.shared_models.log.device import A_BED, A_ROW, BED, PHONE, ROW

END = datetime(2026, 5, 4, 12, 10, tzinfo=UTC)
LATE = {"ended_at": "2026-05-04T11:00:00+00:00"}  # before the row began


def row_of(*sets: dict[str, Any], kind: str = "row_pass") -> dict[str, Any] | None:
    """The last good form of a record with these lines, one after the other."""
    return last_good_row(kind, revisions(kind, *sets))


def revisions(kind: str, *sets: dict[str, Any]) -> list[Revision]:
    record = ROW if kind == "row_pass" else BED
    return [Revision(PHONE, seq, seq, kind, record, changed) for seq, changed in enumerate(sets, 1)]


@pytest.mark.parametrize(
    ("sets", "expected"),
    [
        ([{"misses": 4}, {"filled": 3}, {"misses": 2}], {"misses": 2, "filled": 0}),
        ([{"misses": 4}, {"filled": 1}, {"filled": 3}, {"misses": 2}], {"misses": 2, "filled": 1}),
        ([{"misses": 4}, {"filled": 5}], {"misses": 4, "filled": 0}),
        ([{"misses": 4, "filled": 5}, {"note": "wet"}], {"misses": 0, "note": "wet"}),
        ([{"misses": -1, "note": "dry"}, {"note": "wet"}], {"misses": 0, "note": "wet"}),
        ([{"ended_at": END.isoformat()}, {"started_at": "2027-05-04T12:00:00+00:00"}], {"ended_at": END}),
        ([LATE, {"misses": 2}], {"ended_at": None, "misses": 2}),
    ],
    ids=["default", "newest that fits", "none fits", "both in one line", "one field", "an end stays", "no end comes"],
)
def test_what_was_written_last_holds_and_what_does_not_fit_is_left_out(
    sets: list[dict[str, Any]], expected: dict[str, Any]
) -> None:
    row = row_of(A_ROW, *sets)

    assert row is not None
    assert {name: row[name] for name in expected} == expected


def test_an_end_that_comes_after_the_start_was_moved_past_it_keeps_the_row_ended() -> None:
    moved = ({"started_at": f"20{year}-05-04T12:00:00+00:00"} for year in (27, 28))

    row = row_of(A_ROW, *moved, {"ended_at": "2026-05-04T12:10:00+00:00"})

    assert row is not None
    assert (row["started_at"].year, row["ended_at"].minute) == (2026, 10)


def test_the_line_that_makes_a_record_makes_it_valid_whatever_came_before_it() -> None:
    assert row_of({"filled": 3}, A_ROW) == row_of(A_ROW)


def test_a_record_that_never_was_valid_has_no_such_form() -> None:
    assert row_of({"filled": 3}, {"row": 1}) is None
    assert row_of(A_BED | {"length_mm": -3}, {"name": "North"}, kind="bed") is None


def test_any_order_of_arrival_gives_the_same_form() -> None:
    lines = revisions("row_pass", A_ROW, {"misses": 4}, {"filled": 3}, {"misses": 2})

    assert last_good_row("row_pass", reversed(lines)) == last_good_row("row_pass", lines)


def test_a_record_with_very_many_lines_takes_a_bounded_number_of_checks() -> None:
    checks = 0

    def problems_of(fields: Any) -> Any:
        nonlocal checks
        checks += 1
        return validate("row_pass", fields).problems

    sets = [{"misses": 9}, *({"filled": count} for count in range(1, 10))] * 40
    lines = revisions("row_pass", A_ROW, *sets, *([{"misses": 0}, {"filled": 1}] * 200))

    assert last_good(lines, UNITS["row_pass"], (), problems_of) is not None
    assert checks <= 2 * len(lines) + MOST_TRIES


def test_fields_that_one_rule_binds_are_one_unit_but_for_those_of_a_row_that_is_planted() -> None:
    units = {frozenset(unit) for kind in UNITS.values() for unit in kind.values()}
    bound = {code: {rule.field, *rule.others} for code, rule in RULES.items() if rule.others}

    apart = {code for code, fields in bound.items() if not any(fields <= unit for unit in units)}

    assert apart == {"row-times", "filled-misses"}
