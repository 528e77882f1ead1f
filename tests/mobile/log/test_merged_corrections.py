"""Whatever good corrections meet in a bed that is being planted, taps take effect and no record leaves its table."""

from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from mobile.demo.fake_phone import FakePhone
from mobile.log.notebook import Notebook
from mobile.log.rows import open_stop
from shared_models.core.vocabulary import StopReason
from shared_models.log.log import farm_clock
from shared_models.log.projection import rebuild
from shared_models.log.verify import verify
from shared_models.records.tables import DERIVED, PROJECTIONS, table_of
from tests.mobile.conftest import MORNING, Crew, plan_bed
from tests.mobile.support.other_phone import bring

#: each of them is good as long as the record is as this phone made it; older programs set fields of a unit one by one
CORRECTIONS: list[tuple[str, dict[str, Any]]] = [
    ("row_pass", {"misses": 0}),
    ("row_pass", {"misses": 2}),
    ("row_pass", {"misses": 2, "filled": 2}),
    ("row_pass", {"started_at": "2026-05-14T09:00:00Z"}),
    ("row_pass", {"started_at": "2027-05-14T09:00:00Z"}),
    ("row_pass", {"started_at": "2028-05-14T09:00:00Z", "note": "clock was wrong"}),
    ("row_pass", {"ended_at": "2026-05-14T23:00:00Z"}),
    ("row_pass", {"ended_at": None}),
    ("row_pass", {"stops": [{"reason": "rest", "began": {"at": "2027-05-14T11:00:00Z"}}]}),
    ("row_pass", {"stops": []}),
    ("sowing", {"ready_from": "2026-05-20"}),
    ("sowing", {"ready_until": "2026-05-12"}),
    ("sowing", {"ready_from": "2026-05-01", "ready_until": "2026-05-31"}),
    ("bed", {"rows": 6}),
    ("planting", {"note": "by hand"}),
]
TABLES = [table_of(model) for model in DERIVED]
TAPS = ("tap", "miss", "fill", "stop", "undo")
Step = tuple[str, int, int]
steps: st.SearchStrategy[Step] = st.one_of(
    st.tuples(st.sampled_from(TAPS), st.just(0), st.just(0)),
    st.tuples(st.just("correct"), st.integers(0, len(CORRECTIONS) - 1), st.integers(0, 6)),
)
END: Step = ("tap", 0, 0)


@pytest.fixture(scope="module")
def phone(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FakePhone]:
    phone = FakePhone(tmp_path_factory.mktemp("merged") / "phone", MORNING)
    yield phone
    phone.notebook.close()


def stamp_now(notebook: Notebook) -> int:
    with notebook.reading() as session:
        return farm_clock(session.connection(), notebook.farm)


def take(crew: Crew, tap: str) -> None:
    """Tap as far as the screen offers it."""
    notebook, planting, state = crew.notebook, crew.planting, crew.state
    if tap == "tap":
        notebook.tap_row(planting)
    elif tap == "undo":
        notebook.undo_in(planting)
    elif tap == "miss" and state.at_hand:
        assert notebook.miss(planting).require_at_hand().misses == state.at_hand.misses + 1
    elif tap == "fill" and state.at_hand:
        notebook.fill(state.at_hand.id, state.at_hand.misses)
    elif tap == "stop" and state.open:
        is_stopped = open_stop(state.open)
        after = notebook.go_on(planting) if is_stopped else notebook.stop(planting, StopReason.REST)
        assert open_stop(after.require_open()) is not is_stopped


def held(notebook: Notebook, records: dict[str, str]) -> dict[str, bool]:
    """Whether each of the records is in its table."""
    with notebook.reading() as session:
        return {kind: session.get(PROJECTIONS[kind], (notebook.farm, key)) is not None for kind, key in records.items()}


def unsound(notebook: Notebook) -> list[str]:
    """What `verify` finds, and the tables that are others after they were made again from the lines."""
    with notebook.writing() as connection:
        before = [connection.execute(select(table).order_by(*table.primary_key.columns)).all() for table in TABLES]
        problems = list(verify(connection, notebook.farm))
        rebuild(connection, notebook.farm)
        after = [connection.execute(select(table).order_by(*table.primary_key.columns)).all() for table in TABLES]
    return problems + [table.name for table, was, now in zip(TABLES, before, after, strict=True) if was != now]


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(steps, max_size=12))
@example([("correct", 4, 1), ("correct", 5, 2), END])  # the start is moved beyond the end that is tapped next
@example([("miss", 0, 0), ("fill", 0, 0), ("correct", 0, 1), ("miss", 0, 0)])
@example([("correct", 8, 1), ("stop", 0, 0), END])
@example([("correct", 10, 1), ("correct", 11, 1)])
def test_whatever_good_corrections_meet_the_row_goes_on(phone: FakePhone, told: list[Step]) -> None:
    crew = plan_bed(phone)
    row = crew.notebook.start_row(crew.planting)
    records = {"row_pass": row, "sowing": crew.sowing, "bed": crew.bed, "planting": crew.planting}
    stamps = [stamp_now(crew.notebook)]
    for step, number, back in told:
        crew.wait(10)
        if step == "correct":
            kind, changed = CORRECTIONS[number]
            bring(crew.notebook, kind, records[kind], stamp=stamps[max(0, len(stamps) - back - 1)] + 1, **changed)
        else:
            take(crew, step)
        stamps.append(stamp_now(crew.notebook))

    crew.wait(10)
    was_open = crew.state.open
    crew.notebook.tap_row(crew.planting)

    assert (crew.state.open is None) is (was_open is not None or crew.state.next_row is None)
    assert all(held(crew.notebook, records).values())
    assert unsound(crew.notebook) == []
    while crew.state.open is not None:
        crew.wait(10)
        crew.notebook.tap_row(crew.planting)
