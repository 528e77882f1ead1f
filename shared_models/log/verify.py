"""Is every chain whole, and does every projection equal its fold? Names what differs; changes nothing."""

from collections import Counter
from collections.abc import Iterator, Sequence
from operator import itemgetter

from sqlalchemy import Connection, Table, func, select

from shared_models.core.revision import digest, read
from shared_models.errors import LineRefused
from shared_models.log.log import Head, heads
from shared_models.log.projection import Row, all_histories, rows_of
from shared_models.records.tables import DERIVED, PROJECTIONS, Flagged, Line, SetAside, table_of


def verify(connection: Connection, farm: str) -> Iterator[str]:
    """Check the farm's logs and records: one sentence for each problem."""
    for log in heads(connection, farm):
        seq = first_broken_line(connection, log)
        if seq is not None:
            yield f"log of device {log.device} is broken at line {seq}"
    yield from projection_problems(connection, farm)
    set_aside = table_of(SetAside)
    for aside in connection.execute(select(set_aside).where(set_aside.c.farm_id == farm)):
        yield f"line {aside.seq} of device {aside.device} was set aside: {aside.reason}"


def first_broken_line(connection: Connection, log: Head) -> int | None:
    """The first line that is missing, unreadable or does not fit the chain; None when the log is whole."""
    expected, head = log.base_seq, log.base_digest
    line = table_of(Line).c
    lines = select(line.seq, line.record, line.text, line.digest).where(line.log_id == log.id).order_by(line.seq)
    with connection.execute(lines.execution_options(yield_per=2000)) as found:
        for seq, record, text, kept in found:
            expected += 1
            head = digest(head, text)
            if seq != expected or head != kept or not _is_line_of(log.device, seq, text, record):
                return expected
    if expected != log.seq:
        return min(expected, log.seq) + 1
    return None if head == log.digest else max(expected, log.base_seq + 1)


def _is_line_of(device: str, seq: int, text: str, record: str) -> bool:
    """Whether the text is a line, of the record it is found by."""
    try:
        return read(device, seq, text).record == record
    except LineRefused:
        return False


def projection_problems(connection: Connection, farm: str) -> Iterator[str]:
    """Check the farm's records against its logs: one sentence for each problem."""
    expected: Counter[str] = Counter()
    for chunk in all_histories(connection, farm):
        for kind, (good, bad) in rows_of(farm, chunk).items():
            expected[kind] += len(good)
            expected["flagged"] += len(bad)
            yield from _differences(connection, farm, table_of(PROJECTIONS[kind]), kind, good)
            yield from _differences(connection, farm, table_of(Flagged), kind, bad)
    for model in DERIVED:
        table = table_of(model)
        held = connection.execute(select(func.count()).select_from(table).where(table.c.farm_id == farm)).scalar_one()
        if held != expected[table.name]:
            yield f"table {table.name} holds {held} records where the logs have {expected[table.name]}; run rebuild"


def _differences(connection: Connection, farm: str, table: Table, kind: str, rows: Sequence[Row]) -> Iterator[str]:
    key = itemgetter(*table.primary_key.columns.keys())
    of_these = select(table).where(table.c.farm_id == farm, table.c.id.in_([row["id"] for row in rows]))
    held = {key(row): dict(row) for row in connection.execute(of_these).mappings()}
    for row in rows:
        found = held.get(key(row))
        if found is None:
            yield f"{kind} {row['id']} is missing from table {table.name}; run rebuild"
        elif found != row:
            names = ", ".join(sorted(name for name in row if row[name] != found[name]))
            yield f"{kind} {row['id']} differs from its log in {names}; run rebuild"
