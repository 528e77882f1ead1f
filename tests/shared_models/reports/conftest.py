"""An empty store, and a day to check by hand in it."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from shared_models.log.store import open_store, sqlite_url
from tests.shared_models.reports.support.farmbook import FarmBook, HandDay


@pytest.fixture
def book(tmp_path: Path) -> Iterator[FarmBook]:
    engine = open_store(sqlite_url(tmp_path / "log.db"))
    yield FarmBook(engine)
    engine.dispose()


@pytest.fixture
def hand_day(book: FarmBook) -> HandDay:
    return HandDay(book)
