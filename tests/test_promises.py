"""docs/promises.md names the test of each promise, and each of these tests exists."""

import re
from pathlib import Path

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "docs" / "promises.md").read_text(encoding="utf-8")


def test_each_promise_names_tests_that_exist() -> None:
    rows = re.findall(r"^\| (\d+|all) \|.*\|(.*)\|$", PAGE, re.MULTILINE)
    named = [re.findall(r"`(tests/\S+)::(test_\w+)`", tests) for _, tests in rows]

    assert [number for number, _ in rows] == [*map(str, range(1, 21)), "all"]
    assert all(named)
    for path, test in (each for tests in named for each in tests):
        assert f"def {test}(" in (ROOT / path).read_text(encoding="utf-8"), f"{path}::{test}"


def test_the_soak_has_its_place_on_the_page() -> None:
    assert re.search("<!-- soak: written by make soak -->.*<!-- end of soak -->", PAGE, re.DOTALL)
