"""Store lines that were taken in, and fold each record that they touch once for many lines."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from sqlalchemy import Connection, func, select

from shared_models.core import clock
from shared_models.core.revision import Revision
from shared_models.log.log import ADD_LINES, Head, line_row
from shared_models.log.prepared_statements import AT_ONCE, PreparedForIds
from shared_models.log.projection import RecordKey, histories, project
from shared_models.records.tables import Line, table_of

#: lines that are read or folded at once, so that neither takes long, whatever hangs on one record
MOST_FOLDED = 2_000

_LINE = table_of(Line)
_COUNT_LINES = PreparedForIds(select(_LINE.c.record, func.count()).group_by(_LINE.c.record), _LINE.c.record)


class NewLine(NamedTuple):
    """A line that fits its chain, and its digest."""

    revision: Revision
    text: str
    digest: bytes


def count_lines(connection: Connection, records: set[str]) -> dict[str, int]:
    """The number of lines held of each of these records, of all farms; records without lines are left out."""
    return dict(_COUNT_LINES.run(connection, {}, records))


class LineStore:
    """Stores lines of one farm's logs within a transaction, which ends with `project`."""

    def __init__(self, connection: Connection, farm: str) -> None:
        self._connection, self._farm = connection, farm
        #: the histories of records that are still to be folded, and of which those are
        self._known: dict[RecordKey, list[Revision]] = {}
        self._loaded: set[str] = set()
        self._touched: set[RecordKey] = set()

    def portions(self, lines: Sequence[NewLine]) -> Iterator[list[NewLine]]:
        """Split lines into portions that touch records with MOST_FOLDED lines at most, or one record."""
        held = count_lines(self._connection, {line.revision.record for line in lines})
        portion: list[NewLine] = []
        seen: set[str] = set()
        weight = 0
        for line in lines:
            record = line.revision.record
            more = 1 + (0 if record in seen else held.get(record, 0))
            if portion and weight + more > MOST_FOLDED:
                yield portion
                portion, seen, weight = [], set(), 0
                more = 1 + held.get(record, 0)
            portion.append(line)
            seen.add(record)
            weight += more
        yield portion

    def add(self, log: Head, lines: Sequence[NewLine]) -> Head:
        """Store lines after those of a log; return the new head, which is up to the caller to store."""
        fresh = {line.revision.record for line in lines} - self._loaded
        for key, revisions in histories(self._connection, self._farm, fresh).items():
            self._known[key] = list(revisions)
        self._loaded |= fresh
        stamp = log.stamp
        for revision, _, _ in lines:
            key = RecordKey(revision.kind, revision.record)
            self._known.setdefault(key, []).append(revision)
            self._touched.add(key)
            stamp = clock.observe(stamp, revision.stamp)
        ADD_LINES.run_many(self._connection, [line_row(log, *line) for line in lines])
        if len(self._touched) >= AT_ONCE or sum(map(len, self._known.values())) >= MOST_FOLDED:
            self.project()
        last = lines[-1]
        return log._replace(seq=last.revision.seq, digest=last.digest, stamp=stamp)

    def project(self) -> None:
        """Fold the records that were touched, and store them."""
        project(self._connection, self._farm, {key: self._known[key] for key in self._touched})
        self._known, self._loaded, self._touched = {}, set(), set()
