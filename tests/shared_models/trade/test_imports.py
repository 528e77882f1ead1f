import ast
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from shared_models import trade

FILES = sorted(Path(trade.__file__).parent.rglob("*.py"))
ALLOWED = ("shared_models.trade", "shared_models.errors", "shared_models.core.units", "shared_models.core.vocabulary")


def imported(file: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.module or "."


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_the_trade_needs_nothing_but_python_and_its_own_words(file: Path) -> None:
    """No library, no database, no screen: the same calculation runs on any phone."""
    foreign = [
        name
        for name in imported(file)
        if name.partition(".")[0] not in sys.stdlib_module_names and not name.startswith(ALLOWED)
    ]

    assert foreign == []
