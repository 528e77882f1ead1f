"""How much one device may send, so that it holds up neither its farm nor another one."""

from collections import Counter
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any, NamedTuple

from sqlalchemy import Connection, delete, func, insert, select, update

from server.db.tables import Arrival, SyncUse
from shared_models.errors import LineRefused, OverLimit
from shared_models.log.ingest import ReadLine
from shared_models.log.line_store import count_lines
from shared_models.log.log import Head, Run, find_all
from shared_models.records.tables import Line, Log, table_of

HOUR = timedelta(hours=1)
#: A lost service is rebuilt from one phone, which holds perhaps a million lines of 300 logs: that passes in an hour. A
#: thousand lines take about a tenth of a second to store.
HOURLY = {"logs": 500, "lines": 1_000_000, "bytes": 500_000_000, "lock_ms": 600_000}
#: Every answer names the logs that are held. An honest phone begins one, and another after each restore.
IN_ALL = {"logs": 2_000, "lines": 5_000_000, "bytes": 2_000_000_000}
#: A record is folded from all its lines whenever one comes. A row with a tap for each miss has some hundreds.
LINES_ON_RECORD = 2_000
RECORD_LINES = "record-lines"

_USE, _ARRIVAL, _LOG, _LINE = table_of(SyncUse), table_of(Arrival), table_of(Log), table_of(Line)


class Load(NamedTuple):
    """What a page would add: new logs, new lines, bytes of text, and new lines by record."""

    logs: int
    lines: int
    bytes: int
    records: Counter[str]


RecordsOfRuns = Sequence[Sequence[str]]
"""Of each run, the record of each line; empty where a line is none."""


def records_of(runs: Sequence[Run], read_line: ReadLine) -> RecordsOfRuns:
    """Which records the lines are of."""
    return [[_record(read_line, run, seq) for seq in range(run.after + 1, run.end + 1)] for run in runs]


def _record(read_line: ReadLine, run: Run, seq: int) -> str:
    try:
        return read_line(run.device, seq, run.texts[seq - run.after - 1]).record
    except LineRefused:
        return ""


def load_of(connection: Connection, runs: Sequence[Run], records: RecordsOfRuns) -> Load:
    """What these runs would add to what is held."""
    held = find_all(connection, (run.device for run in runs))
    new = [each for run, named in zip(runs, records, strict=True) for each in named[_held(held.get(run.device), run) :]]
    size = sum(len(text) for run in runs for text in run.texts)
    return Load(sum(run.device not in held for run in runs), len(new), size, Counter(new))


def _held(log: Head | None, run: Run) -> int:
    """How many lines of a run are held; all of them where it begins beyond what is held, since none is stored."""
    if log is None:
        return 0
    return len(run.texts) if run.after > log.seq else log.seq - run.after


def charge(connection: Connection, device: str, load: Load, now: datetime) -> None:
    """Count a page against what a device may send.

    Raises:
        OverLimit: when it is more than that; nothing is counted.
    """
    use = _use(connection, device, now)
    times = 1 + use["raised"]
    left_s = round((use["hour"] + HOUR - now).total_seconds())
    added = {"logs": load.logs, "lines": load.lines, "bytes": load.bytes, "lock_ms": 1}
    for name, most in HOURLY.items():
        if added[name] and use[f"hour_{name}"] + added[name] > most * times:
            raise OverLimit(left_s, limit=f"hour-{name}")
    for name, most in IN_ALL.items():
        if added[name] and use[name] + added[name] > most * times:
            raise OverLimit(round(HOUR.total_seconds()), limit=f"all-{name}")
    _check_records(connection, device, load.records, LINES_ON_RECORD * times)
    use |= {f"hour_{name}": use[f"hour_{name}"] + added[name] for name in ("logs", "lines", "bytes")}
    use |= {name: use[name] + added[name] for name in IN_ALL}
    _store(connection, use)


def _use(connection: Connection, device: str, now: datetime) -> dict[str, Any]:
    found = connection.execute(select(_USE).where(_USE.c.device == device)).mappings().one_or_none()
    use: dict[str, Any] = dict(found) if found else dict.fromkeys((column.name for column in _USE.c), 0)
    if not found or not timedelta() <= now - use["hour"] < HOUR:
        use |= {"device": device, "hour": now} | dict.fromkeys((f"hour_{name}" for name in HOURLY), 0)
    return use


def _check_records(connection: Connection, device: str, new: Counter[str], most: int) -> None:
    held = count_lines(connection, set(new))
    many = [record for record, lines in new.items() if lines + held.get(record, 0) > most]
    if not many:
        return
    sent = select(_ARRIVAL.c.log).where(_ARRIVAL.c.sender == device)
    of_these = select(_LINE.c.record, func.count()).join_from(_LINE, _LOG, _LINE.c.log_id == _LOG.c.id)
    for record in many:
        by_device = of_these.where(_LINE.c.record == record, _LOG.c.device.in_(sent)).group_by(_LINE.c.record)
        found = connection.execute(by_device).one_or_none()
        if new[record] + (found[1] if found else 0) > most:
            raise OverLimit(round(HOUR.total_seconds()), limit=RECORD_LINES)


def add_lock_time(connection: Connection, device: str, seconds: float) -> None:
    """Count the time for which a device's lines kept everybody else from writing."""
    more = _USE.c.hour_lock_ms + round(seconds * 1000)
    connection.execute(update(_USE).where(_USE.c.device == device).values(hour_lock_ms=more))


def allow_again(connection: Connection, device: str, now: datetime) -> None:
    """Begin to count anew, with as much again on top."""
    use = _use(connection, device, now)
    anew = dict.fromkeys([*(f"hour_{name}" for name in HOURLY), *IN_ALL], 0)
    _store(connection, use | anew | {"raised": use["raised"] + 1})


def _store(connection: Connection, use: dict[str, Any]) -> None:
    connection.execute(delete(_USE).where(_USE.c.device == use["device"]))
    connection.execute(insert(_USE), use)
