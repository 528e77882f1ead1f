"""Is every chain whole, and does every projection equal its fold? Names what differs; changes nothing."""

from collections import Counter
from collections.abc import Iterator, Sequence
from operator import itemgetter

from sqlalchemy import Connection, Table, func, select

from shared_models.core.ids import device_id
from shared_models.core.keystore import Verify
from shared_models.core.revision import root
from shared_models.log.chain import Fault, Finding, findings
from shared_models.log.log import Head, digest_at, heads
from shared_models.log.projection import Row, all_histories, rows_of
from shared_models.log.signatures import head_message
from shared_models.records.tables import DERIVED, PROJECTIONS, Flagged, Line, Log, SetAside, SignedHead, table_of

_REBUILD = "run rebuild"
#: with a damaged line its record cannot be right, and rebuild would leave the line out
_SYNC_FIRST = "its log is damaged, so heal that first"
_SIGNED = table_of(SignedHead)


def verify(connection: Connection, farm: str, check: Verify | None = None) -> Iterator[str]:
    """Check the farm's logs and records, and with `check` the signatures: one sentence for each problem."""
    advice = _REBUILD
    for log in heads(connection, farm):
        for problem in log_problems(connection, log, check):
            advice = _SYNC_FIRST
            yield problem
    yield from projection_problems(connection, farm, advice)
    set_aside = table_of(SetAside)
    for aside in connection.execute(select(set_aside).where(set_aside.c.farm_id == farm)):
        yield f"line {aside.seq} of device {aside.device} was set aside: {aside.reason}"


def stray_logs(connection: Connection) -> Iterator[str]:
    """The lines of no log, one sentence for each of those logs."""
    line, log = table_of(Line).c, table_of(Log).c
    stray = select(line.log_id).distinct().where(line.log_id.not_in(select(log.id)))
    for number in connection.execute(stray).scalars():
        yield f"the lines of log {number} belong to no device"


def log_problems(connection: Connection, log: Head, check: Verify | None = None) -> Iterator[str]:
    """Everything that is wrong with one log: one sentence for each problem."""
    for finding in findings(connection, log):
        yield f"log of device {log.device} is broken at {_lines(finding)}{_what(log, finding)}"
    yield from (f"log of device {log.device}: {problem}" for problem in _identity(log))
    if check is not None:
        yield from (f"log of device {log.device}: {problem}" for problem in _signatures(connection, log, check))


def first_broken_line(connection: Connection, log: Head) -> int | None:
    """The first line that is missing, unreadable or does not fit the chain; None when the log is whole."""
    return next((finding.first for finding in findings(connection, log)), None)


def _lines(finding: Finding) -> str:
    return f"line {finding.first}" if finding.last <= finding.first else f"lines {finding.first} to {finding.last}"


def _what(log: Head, finding: Finding) -> str:
    if finding.fault is Fault.MISFILED:
        return ": its text is right; the service puts the rest right"
    if finding.fault is Fault.UNREADABLE:
        return ": it fits, but is no line that this version reads"
    if finding.fault is Fault.END:
        return ": the log does not end there"
    return ": no phone has this log, so restore a backup" if log.private else ": sync a phone that has it"


def _identity(log: Head) -> Iterator[str]:
    trunk = log.origin == log.device
    if log.key and device_id(log.key) != log.origin:
        yield "its key is not the key of that device"
    if trunk and (log.base_seq, log.base_digest) != (0, root(log.device)):
        yield "it does not begin where logs of devices begin"


def _signatures(connection: Connection, log: Head, check: Verify) -> Iterator[str]:
    signed = select(_SIGNED.c.seq, _SIGNED.c.signature).where(_SIGNED.c.log_id == log.id).order_by(_SIGNED.c.seq)
    for seq, signature in connection.execute(signed).all():
        own = digest_at(connection, log, seq)
        if own is None or not check(log.key or b"", head_message(log.origin, seq, own.hex()), signature):
            yield f"the signature of line {seq} is not right"


def projection_problems(connection: Connection, farm: str, advice: str = _REBUILD) -> Iterator[str]:
    """Check the farm's records against its logs: one sentence for each problem, with advice."""
    yield from (f"{problem}; {advice}" for problem in _unlike(connection, farm))


def _unlike(connection: Connection, farm: str) -> Iterator[str]:
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
            yield f"table {table.name} holds {held} records where the logs have {expected[table.name]}"


def _differences(connection: Connection, farm: str, table: Table, kind: str, rows: Sequence[Row]) -> Iterator[str]:
    key = itemgetter(*table.primary_key.columns.keys())
    of_these = select(table).where(table.c.farm_id == farm, table.c.id.in_([row["id"] for row in rows]))
    held = {key(row): dict(row) for row in connection.execute(of_these).mappings()}
    for row in rows:
        found = held.get(key(row))
        if found is None:
            yield f"{kind} {row['id']} is missing from table {table.name}"
        elif found != row:
            names = ", ".join(sorted(name for name in row if row[name] != found[name]))
            yield f"{kind} {row['id']} differs from its log in {names}"
