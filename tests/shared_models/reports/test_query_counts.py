"""Reports find what they are asked about by an index, and put clocks right all the same."""

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Engine, event

from shared_models.log.store import open_store, reading
from shared_models.reports.common import find
from shared_models.reports.common.filters import Filters
from shared_models.reports.pace.rates import By, rates
from shared_models.reports.rows.rows import day_of, load_rows
from tests.shared_models.reports.support.big_season import big_season
from tests.shared_models.reports.support.farmbook import DAY, FarmBook

LARGE = ("row_pass", "planting", "sowing", "stand_count")


@pytest.fixture
def season() -> FarmBook:
    """Many beds, in SQLite, which tells how it looks something up."""
    book = FarmBook(open_store("sqlite://"))
    big_season(book)
    return book


def navigator(engine: Engine, book: FarmBook, by: By, query: Filters) -> list[str]:
    """How the database looks up the large tables for a report of rates."""
    result: list[tuple[str, Any]] = []

    def note(_connection: object, _cursor: object, statement: str, values: Any, *_more: object) -> None:
        result.append((statement, values))

    event.listen(engine, "before_cursor_execute", note)
    with book.reports() as reports:
        rates(reports, by, query)
    event.remove(engine, "before_cursor_execute", note)
    with reading(engine) as connection:
        cursor = connection.connection.cursor()
        steps = [
            step[-1]
            for statement, values in result
            if statement.lstrip().startswith("SELECT")
            for step in cursor.execute(f"EXPLAIN QUERY PLAN {statement}", values).fetchall()
        ]
    return [step for step in steps if any(f" {table} " in f"{step} " for table in LARGE)]


@pytest.mark.parametrize("what", ["bed", "planting", "day"])
def test_a_bed_a_planting_and_a_day_are_found_without_reading_all_rows(season: FarmBook, what: str) -> None:
    with season.reports() as reports:
        planting = find.plantings(reports)[7].planting
    query = {"bed": Filters(bed=planting.bed), "planting": Filters(planting=planting.id), "day": Filters(day=DAY)}

    steps = navigator(season.engine, season, By.CREW, query[what])

    assert any("row_pass" in step for step in steps)
    assert [step for step in steps if not step.startswith("SEARCH") or step.endswith("(farm_id=?)")] == []


#: by how many hours the wall clock was wrong, in which boot a row began, and whether the phone was started anew in it
_SETTINGS = st.lists(
    st.tuples(st.sampled_from([0, 0, 0, 1, -30]), st.integers(0, 2), st.booleans()), min_size=1, max_size=6
)


@given(_SETTINGS)
def test_a_day_has_the_rows_that_all_days_together_have_on_it(settings: list[tuple[int, int, bool]]) -> None:
    """Only the boots that contradict themselves are looked through for a day; no row is lost or moved by that."""
    engine = open_store("sqlite://")
    book = FarmBook(engine)
    book.farm()
    planting = book.planting(book.bed("Bed 1"), "Onion", 50.8)
    for number, (wrong_h, boot, anew) in enumerate(settings):
        start = book.moment("9:00", f"boot-{boot}", 600 + 30 * number).later(number * 1800)
        start = type(start)(start.at + timedelta(hours=wrong_h), start.boot, 36_000_000 + number * 1_800_000)
        end = start.later(600)
        end = type(end)(end.at, f"boot-{boot + 1}", 36_000_000 + number * 1_800_000 + 600_000) if anew else end
        book.row(planting, number + 1, start, end, [])

    with book.reports() as reports:
        facts = reports.farm
        every = load_rows(reports, Filters())
        days = [DAY + timedelta(days=shift) for shift in range(-4, 5)]
        by_day: dict[date, list[tuple[str, object]]] = {
            day: [(row.id, row.start) for row in load_rows(reports, Filters(day=day))] for day in days
        }
    engine.dispose()

    assert by_day == {day: [(row.id, row.start) for row in every if day_of(row, facts) == day] for day in days}
