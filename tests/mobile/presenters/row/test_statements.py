"""A tap reads the rows once and writes once, however long the log: counted as SQLite gets the statements."""

import pytest

from mobile.presenters.base.presenter import Presenter
from mobile.presenters.row.row import RowPresenter
from mobile.presenters.row.stop import StopPresenter
from shared_models.core.vocabulary import StopReason
from shared_models.log.projection import rebuild
from tests.bench.bulk import fill
from tests.mobile.conftest import Crew
from tests.mobile.support.quiet_phone import QuietContext
from tests.mobile.support.statements import Traffic, traffic_of

MOST_STATEMENTS = 6
MANY_LINES = 20_000
WRITES = (("start", "press"), ("miss", "miss"), ("undo", "undo"), ("put back", "undo"), ("end", "press"))


@pytest.fixture(params=[0, MANY_LINES], ids=["empty notebook", "long log"])
def row(request: pytest.FixtureRequest, context: QuietContext, crew: Crew) -> RowPresenter:
    if request.param:
        fill(crew.notebook, request.param)
        with crew.notebook.writing() as connection:
            rebuild(connection, crew.notebook.farm)
        crew.wait(3600)
    presenter = RowPresenter(context, crew.planting)
    crew.wait(3)
    return presenter


def tap(crew: Crew, presenter: Presenter, action: str, *args: object) -> Traffic:
    with traffic_of(crew.notebook) as traffic:
        presenter.attempt(getattr(presenter, action), *args)
        assert presenter.view
    assert presenter.trouble == ""
    crew.wait(60)
    return traffic


def test_a_tap_takes_few_statements_and_one_transaction(row: RowPresenter, context: QuietContext, crew: Crew) -> None:
    """Two rows, so that both the first of a bed and a later one are started; the crew for the next is set before."""
    traffic = {}
    for number in (1, 2):
        crew.notebook.set_crew(crew.planting, [crew.notebook.new_id()], from_next=True)
        for name, action in WRITES:
            if name == "undo":
                traffic[f"stop {number}"] = tap(crew, StopPresenter(context, crew.planting), "pick", StopReason.REST)
                row.reload()
                traffic[f"go on {number}"] = tap(crew, row, "press")
            traffic[f"{name} {number}"] = tap(crew, row, action)

    assert [name for name, each in traffic.items() if (each.reads, each.writes) != (0, 1)] == []
    counts = {name: len(each.statements) for name, each in traffic.items()}
    assert {name: count for name, count in counts.items() if count > MOST_STATEMENTS} == {}
    assert all(count > 0 for count in counts.values())


def test_a_start_that_is_undone_at_once_asks_no_more(row: RowPresenter, crew: Crew) -> None:
    start, undo = tap(crew, row, "press"), tap(crew, row, "undo")

    assert row.view.button == "Start row 1"
    assert max(len(start.statements), len(undo.statements)) <= MOST_STATEMENTS
    assert (undo.reads, undo.writes) == (0, 1)


def test_what_another_thread_brought_is_counted_in_the_next_tap(row: RowPresenter, crew: Crew) -> None:
    """A correction arrives by sync, and the finger is faster than the screen."""
    tap(crew, row, "press")
    open_row = crew.state.require_open()
    crew.notebook.correct("row_pass", open_row.id, {"misses": 4})

    tap(crew, row, "miss")

    assert row.view.misses == "5"
