"""How the outside checks are recorded."""

from collections.abc import Sequence
from pathlib import Path
from typing import cast

import pytest

from shared_models.methods import Check, checks_in
from tests.published.support.docs_page import docs_page
from tests.published.support.imports import modules_used
from tests.published.support.plugin import HERE, Gathering, every_file, settle
from tests.published.support.record import Case, differences, how_obtained, put_together

FIELD = "Field capacity"
TABLE = "PM 696, table (as quoted in a copy)"

A_TEST_FILE = """
import pytest
from shared_models.trade import sun
from shared_models.trade.chain import chain_mm, trays_for
from shared_models.trade.pace import work as count
from shared_models.units import feet_to_mm

TRAYS: int = trays_for(264)
TABLE = [(sun.day_length_h, 40)]

@pytest.fixture
def bed():
    return TRAYS

def helper():
    return count

def test_by_fixture(bed): ...
def test_by_helper(): helper()
def test_by_constant(): assert TRAYS
@pytest.mark.parametrize("function", TABLE)
def test_by_parameter(function): ...
def test_directly(): chain_mm(feet_to_mm(1))
def test_nothing(): ...
"""


def case(deviation: float, tolerance: float = 0.05, source: str = TABLE, modules: tuple[str, ...] = ("pace",)) -> Case:
    return Case(FIELD, source, modules, deviation, tolerance)


@pytest.mark.parametrize(
    ("function", "modules"),
    [
        ("test_by_fixture", ("chain",)),
        ("test_by_helper", ("pace",)),
        ("test_by_constant", ("chain",)),
        ("test_by_parameter", ("sun",)),
        ("test_directly", ("chain",)),
        ("test_nothing", ()),
    ],
)
def test_a_test_checks_the_modules_whose_names_it_reaches(
    tmp_path: Path, function: str, modules: tuple[str, ...]
) -> None:
    file = tmp_path / "test_it.py"
    file.write_text(A_TEST_FILE)

    assert modules_used(file, function) == modules


@pytest.mark.parametrize(
    ("source", "method"),
    [
        ("PM 696 (as quoted in a copy)", "quoted"),
        ("data as quoted, computed with scipy 1.17", "quoted, computed"),
        ("common practice, no source", "common practice"),
        ("somebody's book", ""),
        ("a foreseen problem", ""),
    ],
)
def test_a_source_says_how_it_was_obtained(source: str, method: str) -> None:
    assert how_obtained(source) == method


def test_the_case_nearest_to_its_tolerance_is_reported_in_two_digits() -> None:
    (check,) = put_together([case(0.0123, 0.5), case(0.04567), case(0.0)])

    assert check == Check(FIELD, TABLE, "quoted", ("pace",), 3, 0.046, 0.05)


def test_what_only_a_double_adds_is_exact_in_any_order() -> None:
    cases = [case(3e-16, 1e-13), case(5e-10, 1e-9), case(0.0, 0.0)]

    assert put_together(cases) == put_together(cases[::-1])
    assert [(check.deviation, check.tolerance) for check in put_together(cases)] == [(0.0, 1e-9)]


def test_sources_and_the_modules_they_check_are_kept_apart() -> None:
    found = put_together([case(0.01), case(0.01, source="computed"), case(0.01, modules=("chain", "pace"))])

    assert [(check.source, check.modules) for check in found] == [
        (TABLE, ("chain", "pace")),
        (TABLE, ("pace",)),
        ("computed", ("pace",)),
    ]


@pytest.mark.parametrize(
    ("now", "lines"),
    [
        ([case(0.02), case(0.01)], []),
        ([case(0.022), case(0.01)], []),
        ([case(0.03), case(0.01)], [f"{FIELD}: {TABLE}, for pace, is off by 0.03, not 0.02"]),
        ([case(0.02)], [f"{FIELD}: {TABLE}, for pace, has 1 cases (quoted), not 2 (quoted)"]),
        ([], [f"{FIELD}: {TABLE}, for pace, is not checked any more"]),
        ([case(0.02), case(0.0), case(0, source="computed")], [f"{FIELD}: computed, for pace, is new"]),
    ],
)
def test_what_differs_is_reported_and_jitter_is_not(now: Sequence[Case], lines: list[str]) -> None:
    committed = put_together([case(0.02), case(0.01)])

    assert differences(committed, put_together(now)) == lines


def test_what_is_written_is_what_is_read(tmp_path: Path) -> None:
    """And a page that was changed by hand is told."""
    data, docs = tmp_path / "checks.json", tmp_path / "checks.md"
    found = put_together([case(0.02), case(0.0, source="Ämter | quoted *twice*")])

    assert settle(found, write=True, data=data, docs=docs) == []
    assert checks_in(data.read_text("utf-8")) == found
    assert settle(found, write=False, data=data, docs=docs) == []
    docs.write_text(docs.read_text("utf-8") + "P.S.")

    lines = settle(found, write=False, data=data, docs=docs)

    assert lines[0] == "checks.md is not the page of checks.json"
    assert "--write-checks" in lines[-1]


def test_the_page_has_a_table_for_each_subject_and_breaks_at_no_sign() -> None:
    page = docs_page(put_together([case(0.02), case(0.0, source="a | b *c*, quoted")]))

    assert "2 cases from 2 sources" in page
    assert f"## {FIELD}\n\n| source | how obtained | checks | cases | largest deviation | allowed |" in page
    assert f"| {TABLE} | quoted | `pace` | 1 | 0.02 | 0.05 |" in page
    assert "| a \\| b \\*c\\*, quoted | quoted | `pace` | 1 | exact | 0.05 |" in page


class Ending:
    """A test session that is about to end."""

    exitstatus = 0


@pytest.mark.parametrize(
    ("files", "failed", "write", "summary", "status"),
    [
        (every_file(), 0, False, "--write-checks", 1),
        (every_file(), 1, False, "", 0),
        (set(), 0, False, "", 0),
        (set(), 0, True, "Nothing was written", 1),
        (every_file(), 1, True, "Nothing was written", 1),
    ],
)
def test_only_a_whole_run_that_passed_is_held_against_what_is_committed(
    request: pytest.FixtureRequest, files: set[str], failed: int, write: bool, summary: str, status: int
) -> None:
    """Here with no case at all, which differs from what is committed."""
    gathering, ending = Gathering(request.config), Ending()
    gathering.files, gathering.write, gathering.selected = set(files), write, False

    gathering.pytest_sessionfinish(cast("pytest.Session", ending), failed)

    assert summary in " ".join(gathering.lines)
    assert bool(summary) == bool(gathering.lines)
    assert ending.exitstatus == status


def test_the_files_are_those_of_this_folder() -> None:
    assert {Path(file).name for file in every_file()} == {file.name for file in HERE.rglob("test_*.py")}
