"""The property of the whole design: any order, any repeats, any split into batches, the same records everywhere.

Three devices edit a few records with clocks that collide, and hand lines on in pages as small as one line, some of them
late and more than once. Ranges are tiny so that everything meets everything. This test is never skipped.
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection, Engine, select

from shared_models.core import clock, p256
from shared_models.core.clock import LATEST
from shared_models.core.fold import fold
from shared_models.core.revision import Revision, read, text_of
from shared_models.errors import BadEntry
from shared_models.log.append import append
from shared_models.log.ingest import ingest
from shared_models.log.log import Run, farm_clock, get_or_create, holds, lacking, write_line
from shared_models.log.projection import RecordKey, histories, last_good_row, project, validate
from shared_models.log.store import open_store
from shared_models.log.verify import verify
from shared_models.records.models import KINDS, UNITS
from shared_models.records.tables import Bed, Flagged, Line, Log, Planting, RowPass, table_of
from tests.shared_models.log.device import (
    A_BED,
    A_ROW,
    BED,
    FARM,
    OFFICE,
    PHONE,
    PLENTY,
    ROW,
    TABLET,
    line,
    new_device,
    public_key,
    run_of,
    sign_last_line,
)

DEVICES = (PHONE, TABLET, OFFICE)
CLOCKS_MS = (0, 1_000, 10**30)
#: what a forged stamp claims for ever
FORGED_FIELDS = {"block": "forged"}
#: one line, two, a few
PAGES_BYTES = (1, 200, 600)

EDITS: list[tuple[str, str, dict[str, Any]]] = [
    ("bed", BED, A_BED),
    ("bed", BED, {"name": "North"}),
    ("bed", BED, {"name": None}),
    ("bed", BED, {"length_mm": -3}),
    ("bed", BED, {"length_mm": 3, "rows": 1}),
    ("bed", BED, {"latitude": 1, "longitude": 1}),
    ("bed", BED, {"longitude": 2}),
    ("bed", BED, {"colour": "red"}),
    ("bed", BED, {"voided": True}),
    ("bed", BED, {"voided": False}),
    ("row_pass", ROW, A_ROW),
    ("row_pass", ROW, {"misses": 2}),
    ("row_pass", ROW, {"filled": 3}),
    ("row_pass", ROW, {"ended_at": "2026-05-04T11:00:00Z"}),
    ("row_pass", ROW, {"ended_at": "2026-05-04T12:10:00Z", "ended_boot": "a", "ended_boot_ms": 1}),
    ("row_pass", ROW, {"stops": [{"reason": "rest", "began": {"at": "2026-05-04T12:03:00Z"}}]}),
    ("planting", BED, {"bed": BED, "sowing": ROW}),
    ("mulch", BED, {"straw_kg": 40}),
    ("bed", BED, {}),
]
#: where these edits can end up; that nothing ends up elsewhere is for `verify` to say
TABLES = [table_of(model) for model in (Bed, Planting, RowPass, Flagged)]


class Side:
    """A device's end of a sync, in a transaction that the test takes back."""

    def __init__(self, device: str, connection: Connection) -> None:
        self.device = device
        self.connection = connection
        get_or_create(connection, FARM, device, key=public_key(device))

    def edit(self, kind: str, record: str, changed: Mapping[str, Any], now_ms: int) -> None:
        """As a person does; or, where this program would refuse it, as another program might. The last edit is seen."""
        try:
            append(self.connection, FARM, self.device, now_ms, RecordKey(kind, record), changed, None)
        except BadEntry:
            log = get_or_create(self.connection, FARM, self.device)
            stamp = clock.tick(farm_clock(self.connection, FARM), now_ms)
            revision = Revision(self.device, log.seq + 1, stamp, kind, record, changed)
            write_line(self.connection, log, revision, text_of(revision))
            project(self.connection, FARM, histories(self.connection, FARM, [record]))

        sign_last_line(self.connection, self.device)
        written = histories(self.connection, FARM, [record])[RecordKey(kind, record)]
        seen = fold(written, UNITS.get(kind, {}))
        assert all(seen[name] == value for name, value in changed.items() if name not in FORGED_FIELDS)

    def take(self, runs: Sequence[Run]) -> int:
        outcome = ingest(self.connection, FARM, runs, p256.verify)
        assert outcome.refused == []
        return outcome.stored

    def lacking(self, other: Side, max_bytes: int) -> list[Run]:
        return lacking(self.connection, FARM, holds(other.connection, FARM), max_bytes)

    def tables(self) -> dict[str, list[Any]]:
        found = {}
        for table in TABLES:
            rows = self.connection.execute(select(table).order_by(*table.primary_key.columns))
            found[table.name] = [dict(row) for row in rows.mappings()]
        return found

    def folded(self) -> dict[str, list[Any]]:
        """What the tables should hold, by the pure fold of all lines at once."""
        log, held = table_of(Log).c, table_of(Line).c
        lines = select(log.device, held.seq, held.text).where(log.id == held.log_id).order_by(held.text)
        revisions = [read(*row) for row in self.connection.execute(lines)]
        tables: dict[str, list[Any]] = {table.name: [] for table in TABLES}
        for kind, record in sorted({(each.kind, each.record) for each in revisions if each.kind in KINDS}):
            fields = fold(
                [each for each in revisions if (each.kind, each.record) == (kind, record)], UNITS.get(kind, {})
            )
            judged, key = validate(kind, fields), {"farm_id": FARM, "id": record}
            row = judged.row
            if judged.problems:
                row = last_good_row(kind, [each for each in revisions if (each.kind, each.record) == (kind, record)])
                problems = json.dumps({name: problem.to_json() for name, problem in judged.problems.items()})
                result = {"kind": kind, "problems": problems, "fields": json.dumps(fields), "kept": row is not None}
                tables["flagged"].append(key | result)
            if row is not None:
                tables[kind].append(key | row)
        return tables


@pytest.fixture(scope="module")
def stores() -> Iterator[list[Engine]]:
    engines = [open_store("sqlite://") for _ in DEVICES]
    yield engines
    for engine in engines:
        engine.dispose()


numbers = st.integers(0, len(DEVICES) - 1)
Event = tuple[Any, ...]
events: st.SearchStrategy[Event] = st.one_of(
    st.tuples(st.just("edit"), numbers, st.integers(0, len(EDITS) - 1), st.sampled_from(CLOCKS_MS)),
    st.tuples(st.just("ask"), numbers, numbers, st.sampled_from(PAGES_BYTES)),
    st.tuples(st.just("again"), numbers, st.integers(0, 5)),
    st.tuples(st.just("forge"), numbers),
)

#: the office corrects what a phone flagged, while another phone hands the flagged line on late and twice
CORRECTED = [
    *[("edit", 0, 0, 0), ("edit", 0, 3, 0), ("ask", 2, 0, 1), ("ask", 2, 0, 1), ("ask", 1, 0, 600)],
    *[("edit", 2, 4, 0), ("ask", 0, 2, 600), ("again", 2, 0), ("again", 1, 1), ("ask", 2, 1, 600)],
]
#: three devices set one unit in the same millisecond, each with another part of it
ONE_MOMENT = [("edit", 0, 0, 0), *[("edit", number, edit, 1_000) for number, edit in enumerate((5, 6, 5))]]
#: flagged records of two kinds come in one page, and one of them was flagged before
TWO_KINDS = [("edit", 0, 3, 0), ("ask", 1, 0, 1), ("edit", 0, 11, 0), ("edit", 0, 1, 0), ("ask", 1, 0, 600)]
#: one id names a bed and a planting
TWO_RECORDS = [("edit", 0, 3, 0), ("edit", 1, 16, 0), ("ask", 2, 0, 600), ("ask", 2, 1, 600), ("edit", 0, 0, 0)]
#: a page that was on its way to one device comes to another, which lacks the line before it
GAP = [("edit", 0, 0, 0), ("edit", 0, 1, 0), ("ask", 1, 0, 1), ("ask", 1, 0, 1), ("again", 2, 1), ("again", 2, 0)]
#: a forged stamp is read by two devices, which go on editing the same field in turn
FORGED = [
    *[("forge", 0), ("edit", 0, 0, 0), ("ask", 1, 0, 600), ("edit", 1, 1, 0), ("ask", 2, 1, 600), ("ask", 2, 0, 600)],
    *[("edit", 2, 0, 0), ("ask", 0, 2, 600), ("ask", 0, 1, 600), ("edit", 0, 1, 0)],
]


@given(st.lists(events, min_size=6, max_size=30))
@example(CORRECTED)
@example(ONE_MOMENT)
@example(TWO_KINDS)
@example(TWO_RECORDS)
@example(GAP)
@example(FORGED)
@settings(max_examples=50, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_order_any_repeats_any_split_make_the_same_records_everywhere(
    stores: list[Engine], events: list[Event]
) -> None:
    """After a last full exchange all hold the same logs, and the same records: the pure fold of all lines."""
    with contextlib.ExitStack() as stack:
        connections = [stack.enter_context(engine.connect()) for engine in stores]
        for connection in connections:
            stack.callback(connection.begin().rollback)
        sides = [Side(*result) for result in zip(DEVICES, connections, strict=True)]
        sent: list[Sequence[Run]] = []

        for event in events:
            happen(sides, sent, event)
        for side in sides:
            assert side.tables() == side.folded()
        exchange_everything(sides)

        assert all(holds(side.connection, FARM) == holds(sides[0].connection, FARM) for side in sides)
        assert all(side.tables() == side.folded() == sides[0].tables() for side in sides)
        assert all(list(verify(side.connection, FARM)) == [] for side in sides)


def happen(sides: list[Side], sent: list[Sequence[Run]], event: Event) -> None:
    """One thing that goes on between the devices; `sent` is all that was ever on its way."""
    what, number, *result = event
    side = sides[number]
    if what == "edit":
        edit, now_ms = result
        side.edit(*EDITS[edit], now_ms)
    elif what == "ask":
        other, max_bytes = result
        sent.append(sides[other].lacking(side, max_bytes))
        side.take(sent[-1])
    elif what == "again":
        (which,) = result
        if which < len(sent):
            side.take(sent[which])
    else:
        forged = new_device(0xF0 + number)
        side.take([run_of(forged, line(stamp=LATEST, set=FORGED_FIELDS))])


def exchange_everything(sides: list[Side]) -> None:
    """In pages of a few lines, until nobody lacks anything."""
    moved = True
    while moved:
        query = [(one, other) for one in sides for other in sides if one is not other]
        moved = sum(one.take(other.lacking(one, PAGES_BYTES[-1])) for one, other in query) > 0


def test_pages_of_one_line_are_pages(stores: list[Engine]) -> None:
    """The sizes above do split a log: one line, then a few."""
    with stores[0].connect() as connection, connection.begin() as transaction:
        side = Side(PHONE, connection)
        for _ in range(9):
            side.edit("bed", BED, A_BED, 0)

        counts = [sum(len(run.texts) for run in lacking(connection, FARM, {}, size)) for size in (*PAGES_BYTES, PLENTY)]

        assert counts == [1, 2, 4, 9]
        transaction.rollback()
