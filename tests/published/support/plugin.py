"""Gathers what the outside checks find, and fails the run when something else is committed.

Only a whole run of this folder can tell: with a selection, or when a test fails, nothing is compared.
`--write-checks` writes what was found to the docs and into the package.
"""

import json
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path

import pytest

from shared_models.methods import CHECKS_FILE, Check, checks_in
from tests.published.support.docs_page import docs_page
from tests.published.support.record import Case, differences, put_together

HERE = Path(__file__).parents[1]
ROOT = HERE.parents[1]
DATA = ROOT / "shared_models" / "trade" / CHECKS_FILE
PAGE = ROOT / "docs" / "published-checks.md"

#: The name under which a test's report carries its cases.
PROPERTY = "published"
SELECTIONS = ("keyword", "markexpr", "deselect", "lf", "stepwise")
HOW = "Run `pytest tests/published --write-checks`, look at what changed, and commit it."


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add the option that writes the page."""
    purpose = "write what tests/published finds to docs/published-checks.md and into the package"
    parser.addoption("--write-checks", action="store_true", help=purpose)


def pytest_configure(config: pytest.Config) -> None:
    """Gather in the process that hears of every test."""
    if not hasattr(config, "workerinput"):
        config.pluginmanager.register(Gathering(config))


class Gathering:
    """The cases of one run, and what it comes to."""

    def __init__(self, config: pytest.Config) -> None:
        self.write: bool = config.getoption("--write-checks")
        self.selected = any(config.getoption(name, default=None) for name in SELECTIONS)
        self.cases: list[Case] = []
        self.files: set[str] = set()
        self.lines: list[str] = []

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Keep the cases of each test that passed."""
        if report.when == "call" and report.passed:
            self.files.add(report.nodeid.partition("::")[0])
            self.cases += [Case(*value) for name, value in report.user_properties if name == PROPERTY]  # type: ignore[misc]  # what the fixture put there

    def pytest_sessionfinish(self, session: pytest.Session, exitstatus: int) -> None:
        """Compare or write, once all is known."""
        whole = exitstatus == pytest.ExitCode.OK and not self.selected and self.files >= every_file()
        if whole:
            self.lines = settle(put_together(self.cases), write=self.write)
        elif self.write:
            self.lines = ["Nothing was written: that takes a run of all of tests/published in which every test passes."]
        if self.lines:
            session.exitstatus = pytest.ExitCode.TESTS_FAILED

    def pytest_terminal_summary(self, terminalreporter: pytest.TerminalReporter) -> None:
        """Say what is wrong."""
        if self.lines:
            terminalreporter.section("outside checks")
        for line in self.lines:
            terminalreporter.write_line(line)


def every_file() -> set[str]:
    """The test files of this folder, as reports name them."""
    return {file.relative_to(ROOT).as_posix() for file in HERE.rglob("test_*.py")}


def settle(found: Sequence[Check], *, write: bool, data: Path = DATA, docs: Path = PAGE) -> list[str]:
    """Write what was found, or tell how it differs from what is committed."""
    if write:
        data.write_text(json.dumps([asdict(check) for check in found], indent=1, ensure_ascii=False) + "\n", "utf-8")
        docs.write_text(docs_page(found), "utf-8")
        return []
    committed = checks_in(data.read_text("utf-8"))
    lines = differences(committed, found)
    if not docs.exists() or docs.read_text("utf-8") != docs_page(committed):
        lines.append(f"{docs.name} is not the page of {data.name}")
    return [*lines, HOW] if lines else []
